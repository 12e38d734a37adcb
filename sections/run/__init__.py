"""The order of things: the commands, one file each, and what they do at length."""
