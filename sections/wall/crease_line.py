"""The line in which two of a field's smooth surfaces meet: a sharp edge, straight or bent.

At the line itself a field tells of one of its two surfaces alone, and whichever is nearer: the line is found from
places a little way into either.
"""

from __future__ import annotations

import numpy as np

from sections.wall.levels import LEAST_SLOPE, Field

# deg; surfaces that meet at a smaller angle are taken for one that bends.
LEAST_ANGLE = 30.0
# Of the way into a face, in turn: where its surface is looked at. Of two gradients, as a part: less tells nothing.
_ASIDE, _TELLS = (0.2, 0.1, 0.03), 1e-2


def off_line(field: Field, places: np.ndarray, into: np.ndarray) -> np.ndarray:
    """Return about how far, (k,) mm, places (k, 3) are off the further of two surfaces. into : (k, 2, 3) mm, from each
    place to one on either surface."""
    value, slope = _both(field, places, into, _ASIDE[0])
    return (np.abs(value) / np.maximum(np.linalg.norm(slope, axis=2), LEAST_SLOPE)).max(1, initial=0.0)


def onto_line(field: Field, places: np.ndarray, into: np.ndarray) -> np.ndarray:
    """Return places, (k, 3) mm, moved the nearest way to where two surfaces meet. into : as for `off_line`."""
    moved = places
    for aside in _ASIDE:
        value, slope = _both(field, moved, into + (places - moved)[:, None], aside)
        moved = moved - np.einsum("kij,kj->ki", np.linalg.pinv(slope, rcond=_TELLS), value)
    return moved


def _both(field: Field, places: np.ndarray, into: np.ndarray, aside: float) -> tuple[np.ndarray, np.ndarray]:
    """Return (the field, (k, 2) mm, and its gradient, (k, 2, 3)) of either surface at places (k, 3) mm, as it goes on
    from a part of the way into its face."""
    step = aside * into
    value, slope = field.with_slope((places[:, None] + step).reshape(-1, 3))
    slope = slope.reshape(-1, 2, 3)
    return value.reshape(-1, 2) - np.einsum("kij,kij->ki", slope, step), slope
