"""Fewer triangles for the same skin."""

from __future__ import annotations

from sections.solids.crossing import crossing_faces
from sections.solids.print_solid import PrintSolid

# What part of the tolerance is tried, in this order, until no face passes through another.
_PARTS = (1.0, 0.5, 0.25, 0.1)


def fewer_triangles(solid: PrintSolid, tolerance: float) -> PrintSolid:
    """Return a solid with fewer triangles, nothing moved by more than `tolerance` mm, by as much as leaves the fewest
    faces that pass through others by more than that.

    Where a solid ends in a film, what is moved by less than the tolerance can still fold through the face opposite.
    """
    fewest, best = None, solid
    for part in _PARTS:
        plain = solid.simplified(part * tolerance)
        count = len(crossing_faces(plain.mesh(), tolerance))
        if fewest is None or count < fewest:
            fewest, best = count, plain
        if count == 0:
            break
    return best
