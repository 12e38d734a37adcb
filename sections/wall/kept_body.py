"""A body in a run's scratch folder, as its steps read it: the skin, what tells its sides, the openings."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from sections.numbers.mesh import Mesh
from sections.results import digest_of
from sections.results.scratch import Scratch
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid
from sections.wall.opening_edges import Collar, Cutter

if TYPE_CHECKING:
    from sections.body import Body
    from sections.body.body import OpeningSolid


def put_skin(scratch: Scratch, body: Body) -> None:
    """Keep a body's skin, and what tells its sides, in a scratch folder."""
    scratch.put_mesh("skin", body.skin)
    scratch.put("doubt", body.doubt)
    scratch.put("skin-content", digest_of(body.skin, body.doubt))


@lru_cache(maxsize=2)
def skin_distance(folder: Path) -> MeshDistance:
    """Return the distance to the body's skin kept in a scratch folder; the tree is built once a process."""
    scratch = Scratch(folder)
    return MeshDistance(scratch.mesh("skin"), scratch.get("doubt"))


def skin_content(folder: Path) -> str:
    """Return the digest of the skin kept in a scratch folder, and of what tells its sides."""
    return Scratch(folder).get("skin-content")


def put_cutters(scratch: Scratch, body: Body) -> None:
    """Keep a body's openings, and what is made along their edges, in a scratch folder, as triangles."""
    cutters = [_meshes_only(opening) for opening in body.openings]
    scratch.put("cutters", cutters)
    scratch.put("cutter-contents", [digest_of(one) for one in cutters])


def _meshes_only(opening: OpeningSolid) -> Cutter:
    edge = opening.edge
    collar = edge and Collar(edge.depth, edge.around.mesh, edge.floor, edge.hole and edge.hole.mesh)
    return Cutter(opening.given, opening.mesh, collar)


@lru_cache(maxsize=2)
def cutters_of(folder: Path) -> tuple[Cutter[PrintSolid], ...]:
    """Return the openings kept in a scratch folder, read once a process."""

    def solid(mesh: Mesh | None) -> PrintSolid | None:
        return None if mesh is None else PrintSolid.of(mesh, "opening")

    made = []
    for one in Scratch(folder).get("cutters"):
        collar = one.collar
        collar = collar and Collar(collar.depth, solid(collar.around), collar.floor, solid(collar.hole))
        made.append(Cutter(one.id, solid(one.solid), collar))
    return tuple(made)
