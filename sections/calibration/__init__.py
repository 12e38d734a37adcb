"""What the builder measured on his test prints, and what it says of his printer."""
