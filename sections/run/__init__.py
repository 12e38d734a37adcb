"""One run: the steps in order, the folders they use, and what the user sees of it."""
