"""Where the names of sections stand in a picture."""

from __future__ import annotations

import numpy as np

from sections.numbers.mesh import Mesh, join
from sections.pictures.render import SIZE, Item, Tag, View, stand
from sections.solids.distance import MeshDistance

# A face is seen that looks toward the eye by this, as a cosine; how many are tried for a section's name.
_SEEN, _TRIED = 0.2, 12


def names_seen(items: dict[str, Item], views: dict[str, View]) -> dict[str, list[Tag]]:
    """Return by view the names of sections, each over a place of it that is seen there: the middle of what looks to the
    eye, or else one of its largest faces. A section that is hidden there has none."""
    meshes = [item.mesh for item in items.values()]
    whole = join(meshes)
    surface = MeshDistance(whole)
    owner = np.repeat(np.arange(len(meshes)), [len(mesh) for mesh in meshes])
    own = np.repeat(np.arange(len(meshes)), _TRIED + 1)
    names, tags = list(items), {}
    for picture, view in views.items():
        eye, _ = stand(whole.vertices, view, SIZE[0] / SIZE[1])
        places = np.concatenate([_places(mesh, eye) for mesh in meshes])
        way = (places - eye) / np.linalg.norm(places - eye, axis=1, keepdims=True)
        face, along = surface.first_hit(np.broadcast_to(eye, way.shape), way)
        seen = np.flatnonzero((face >= 0) & (owner[face] == own))
        numbers, first = np.unique(own[seen], return_index=True)
        rows = seen[first].tolist()
        at = [(names[number], row) for number, row in zip(numbers.tolist(), rows, strict=True)]
        tags[picture] = [Tag(name, eye + along[row] * way[row]) for name, row in at]
    return tags


def _places(mesh: Mesh, eye: np.ndarray) -> np.ndarray:
    """Return the middle of a mesh's faces that look toward the eye, then those of its largest such faces: (1 + _TRIED,
    3) mm."""
    middles = mesh.triangles.mean(1)
    way = eye - middles
    facing = np.einsum("ij,ij->i", mesh.normals, way) > _SEEN * np.linalg.norm(way, axis=1)
    areas = np.where(facing, mesh.areas_mm2, 0.0)
    middle = np.average(middles, axis=0, weights=areas) if areas.any() else middles.mean(0)
    return np.vstack([middle, middles[np.resize(np.argsort(-areas)[:_TRIED], _TRIED)]])
