"""The wall as a distance field: one iso-surface for inner face, flanges and their printable backs."""
