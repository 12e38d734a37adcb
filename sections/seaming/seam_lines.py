"""Seams as they came out, measured on carved sections."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sections.numbers.frame import Plane
from sections.numbers.halve import number_edges
from sections.numbers.mesh import Mesh
from sections.numbers.tolerances import ON_SURFACE
from sections.seaming.rules import steepness
from sections.solids.distance import MeshDistance
from sections.solids.planar import on_plane


@dataclass(frozen=True)
class SeamLine:
    """The edges of sections along one seam on the skin. length : mm, of both sections' edges together. shallow : mm of
    it, less steep than asked. least : deg, the smallest angle between seam and skin, and at : (3,) mm where."""

    seam: str
    length: float
    shallow: float
    least: float
    at: tuple[float, float, float]


def seam_line(mesh: Mesh, seam: str, plane: Plane, skin: MeshDistance, angle: float) -> SeamLine | None:
    """Return the line, mm, of one section along one of its seams, or None where it has no edge there."""
    cut = mesh.faces[on_plane(mesh, plane)]
    if not len(cut):
        return None
    # An edge of the cut face that another face of the section goes on from.
    edges = number_edges(cut, len(mesh.vertices))
    pairs = mesh.vertices[edges.ends[edges.uses == 1]]
    middles = pairs.mean(1)
    away, face, _ = skin.nearest(middles)
    outer = away < ON_SURFACE
    if not outer.any():
        return None
    lengths = np.linalg.norm(pairs[outer, 1] - pairs[outer, 0], axis=1)
    angles = steepness(skin.mesh.normals[face[outer]], np.asarray(plane.normal))
    worst = int(angles.argmin())
    at = tuple(float(c) for c in middles[outer][worst])
    return SeamLine(seam, float(lengths.sum()), float(lengths[angles < angle].sum()), float(angles[worst]), at)
