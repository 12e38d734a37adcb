"""What holds the sections true while they are joined."""
