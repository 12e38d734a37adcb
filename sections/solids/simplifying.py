"""Fewer triangles for the same skin.

manifold3d's `simplify` holds its tolerance for each corner it takes away, not for all of them: 0.116 mm for 0.05
asked, on a noisy skin. What it did is measured, and less asked of it until it holds.
"""

from __future__ import annotations

import manifold3d
import numpy as np

from sections.errors import BuildFailed
from sections.numbers.closed_by_back import backed
from sections.numbers.mesh import Mesh
from sections.solids.crossing import crossing_faces
from sections.solids.distance import corner_normals
from sections.solids.print_solid import PrintSolid

# What part of the tolerance is tried after all of it, in this order, until no more faces pass through others than did.
_PARTS = (0.5, 0.25, 0.1)
# What is folded by less, in tolerances, is let be.
_FOLDED = 4.0
# mm, around what is folded, that is taken out with it: tried in order.
_AROUND = (0.05, 0.2, 0.5, 1.0)
# How far behind an open skin its back is laid, in tolerances: far enough for its rim to be an edge.
_BEHIND = 100.0


def fewer_triangles(solid: PrintSolid, tolerance: float) -> PrintSolid:
    """Return a solid with fewer triangles, nothing moved by more than `tolerance` mm: by as much as leaves no more
    faces that pass through others by more than that than there were, or the fewest.

    Where a solid ends in a film, what is moved by less than the tolerance can still fold through the face opposite.
    """
    return fewer_and_folds(solid, tolerance)[0]


def fewer_and_folds(solid: PrintSolid, tolerance: float) -> tuple[PrintSolid, int]:
    """Return (a solid with fewer triangles, nothing moved by more than `tolerance` mm; how many of its faces pass
    through others by more than that)."""
    plain = solid.simplified(tolerance)
    count = len(crossing_faces(plain.mesh(), tolerance))
    if not count:
        return plain, 0
    before, fewest, best = len(crossing_faces(solid.mesh(), tolerance)), count, plain
    for part in _PARTS:
        if fewest <= before:
            break
        plain = solid.simplified(part * tolerance)
        count = len(crossing_faces(plain.mesh(), tolerance))
        if count < fewest:
            fewest, best = count, plain
    return best, fewest


def without_folds(solid: PrintSolid, depth: float) -> PrintSolid:
    """Return a solid, simplified by `depth` mm, less what is around faces of it that pass through others by more than
    four times that: films, thinner than they can be simplified, as where a hollow runs out between two walls."""
    plain, count = fewer_and_folds(solid, depth)
    for around in _AROUND:
        if not count:
            break
        mesh = plain.mesh()
        folded = crossing_faces(mesh, _FOLDED * depth)
        if not len(folded):
            break
        corners = mesh.triangles[folded]
        boxes = [PrintSolid.box(one.min(0) - around, one.max(0) + around) for one in corners]
        plain, count = fewer_and_folds(solid.cut(boxes), depth)
    return plain


def nicked(mesh: Mesh, places: np.ndarray, wide: float, what: str) -> Mesh:
    """Return a closed mesh with a nick, so wide in mm, along each of some edges or faces, (n, 2 or 3, 3) mm. Raises
    BuildFailed naming `what`."""
    half = wide / 2 * np.array([(x, y, z) for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)])
    nicks = [PrintSolid.hull((place[:, None] + half).reshape(-1, 3)) for place in places]
    return PrintSolid.of(mesh, what).cut(nicks).mesh()


def fewer_triangles_open(mesh: Mesh, tolerance: float, what: str) -> Mesh:
    """Return a welded, open mesh with fewer triangles; its rim keeps its corners. Raises BuildFailed naming `what`.

    The library takes closed meshes only: the mesh, a back a little behind it and a strip between are one, and of what
    comes back the front is known by its number.
    """
    closed, _ = backed(mesh, mesh.vertices - _BEHIND * tolerance * corner_normals(mesh))
    front = manifold3d.Manifold.reserve_ids(2)
    sides = manifold3d.Mesh64(
        np.require(closed.vertices, np.float64, ["C", "W"]),
        np.require(closed.faces.astype(np.uint64), requirements=["C", "W"]),
        run_index=np.array([0, 3 * len(mesh), 3 * len(closed)], np.uint64),
        run_original_id=np.array([front, front + 1], np.uint32),
    )
    solid = manifold3d.Manifold(sides)
    if solid.status() != manifold3d.Error.NoError:
        raise BuildFailed(f"{what}: faces that are not joined two by two ({solid.status().name})")
    out = solid.simplify(tolerance).to_mesh64()
    run = list(out.run_original_id).index(front)
    start, stop = (int(out.run_index[n]) // 3 for n in (run, run + 1))
    return Mesh(out.vert_properties[:, :3], out.tri_verts.astype(np.int64)).submesh(np.arange(start, stop))
