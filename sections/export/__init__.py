"""What is written: part files, manifest, and the folder they appear in whole or not at all."""
