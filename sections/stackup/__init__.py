"""What the errors of joints and sections add up to, from the datum to the far end."""
