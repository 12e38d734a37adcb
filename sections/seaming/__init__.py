"""Where a body is best cut: seams found by trial cuts of its skin."""
