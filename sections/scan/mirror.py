"""A body that is said to be symmetric: measured, then made so exactly.

Uniting two mirrored halves leaves a membrane at y = 0 that turns signs deep inside: the halves' triangles are joined
instead.
"""

from __future__ import annotations

import numpy as np

from sections.errors import BadInput, Problem
from sections.numbers.frame import Plane
from sections.numbers.mesh import MIRROR_Y, Mesh, join, weld_exact
from sections.numbers.self_contact import taken_apart
from sections.numbers.words import place_words
from sections.scan.surfaces import Rims
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid
from sections.solids.trimming import trimmed

# mm; a corner this near the centre plane lies on it.
_ON_CENTRE = 1e-7
RIGHT_HALF = Plane((0.0, 1.0, 0.0), 0.0)


def asymmetry(skin: Mesh, points: np.ndarray) -> tuple[float, np.ndarray]:
    """Return (largest distance, mm, of the mirror images of `points` (n, 3) from the skin, and the point)."""
    distance = MeshDistance(skin).unsigned(points * MIRROR_Y)
    worst = int(distance.argmax())
    return float(distance[worst]), points[worst]


def symmetrised(skin: Mesh, points: np.ndarray, deviation: float, what: str) -> tuple[Mesh, float]:
    """Return (the right half and its mirror image as one skin, the asymmetry measured, mm).

    Raises BadInput when the body's two halves differ by more than the deviation.
    """
    off, place = asymmetry(skin, points)
    if off > deviation:
        limit = (
            f"halves equal within mesh.deviation, {deviation:g} mm; they differ by {off:.4g} mm at {place_words(place)}"
        )
        raise BadInput([Problem(what, "body.symmetric", "true", limit, "set it to false, or correct the body")])
    return made_symmetric(skin, what), off


def made_symmetric(mesh: Mesh, what: str) -> Mesh:
    """Return the right half of a mesh, closed or open, and its mirror image as one."""
    if Rims.of(mesh).faces.size:
        return mirrored_whole(trimmed(mesh, RIGHT_HALF))
    return mirrored_whole(PrintSolid.of(mesh, what).clip([RIGHT_HALF]).mesh())


def mirrored_whole(right: Mesh) -> Mesh:
    """Return a right half and its mirror image as one skin, joined along y = 0.

    The half's own face on y = 0 is taken out and the corners there made one. (Uniting the two halves as solids
    left parts of that face standing inside the body.)
    """
    on_centre = np.abs(right.vertices[:, 1]) < _ON_CENTRE
    vertices = right.vertices.copy()
    vertices[on_centre, 1] = 0.0
    half = Mesh(vertices, right.faces[~on_centre[right.faces].all(1)])
    return taken_apart(weld_exact(join([half, half.mirrored_y()]))).mesh
