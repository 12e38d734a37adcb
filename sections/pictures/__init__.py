"""Pictures of what was built, rendered off screen."""
