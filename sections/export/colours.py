"""The colour of a section, in pictures and in the assembly's STEP file."""

import colorsys

# Hues are stepped by this part of the circle, so that neighbours in the list differ.
_HUE_STEP = 0.381966


def part_colour(number: int) -> tuple[float, float, float]:
    """Return a muted colour, far from that of the number before."""
    return colorsys.hls_to_rgb((0.08 + number * _HUE_STEP) % 1.0, 0.62 + 0.08 * (number % 3 - 1), 0.34)
