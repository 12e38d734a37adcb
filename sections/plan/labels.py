"""Where a section's label goes: a flat enough piece of its inner face, clear of everything else; or a seam face."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sections.features.label import FORWARD, UP, Label
from sections.numbers.frame import Frame, Plane, frame_on
from sections.numbers.mesh import Mesh
from sections.numbers.sampling import sample_surface
from sections.plan.seam_labels import SeamFace, label_seam_face
from sections.settings.making import LabelTable
from sections.solids.distance import MeshDistance

_TRIES = 240
# mm; how far the inner face may bow away from the label's plane. Letters follow it, a reader's eye does too.
_BOW = 2.5
_ON_INNER_FACE = 0.3
# mm; of air over a label, at least.
_AIR = 2.0
_GRID = np.stack(np.meshgrid(np.linspace(-0.5, 0.5, 7), np.linspace(-0.5, 0.5, 4), indexing="ij"), -1).reshape(-1, 2)


@dataclass(frozen=True)
class LabelRoom:
    """What a label must keep clear of.

    skin : distance to the body's skin. wall : mm. seams : planes; flange_reach : how far a flange and its back
    reach from one, mm. bosses : (point, radius) to stay off. faces : on the seams, for want of inner face.
    """

    skin: MeshDistance
    wall: float
    seams: tuple[Plane, ...]
    flange_reach: float
    bosses: tuple[tuple[np.ndarray, float], ...]
    faces: tuple[SeamFace, ...]


def place_label(text: str, blank: Mesh, room: LabelRoom, table: LabelTable) -> tuple[Label, Frame] | None:
    """Return the label and its frame, or None when no form of it finds room.

    The whole label is tried first, then the id alone, then small, then small in two and three lines, each upright and
    then turned a quarter; then small ones on the seam faces.
    """
    small = _small(text, table)
    whole = [Label(text, table.height, table.stroke, table.relief, arrows) for arrows in (True, False)]
    sunk = [replace(label, sunk=True) for label in small]
    return _on_inner_face(whole + small, blank, room) or label_seam_face(sunk, room.faces, room.skin, room.wall)


def _on_inner_face(forms: list[Label], blank: Mesh, room: LabelRoom) -> tuple[Label, Frame] | None:
    inner, normals = _inner_face(blank, room)
    if not len(inner):
        return None
    order = np.argsort(np.linalg.norm(inner - inner.mean(0), axis=1), kind="stable")
    surface = MeshDistance(blank)
    for label in forms:
        for index in order:
            upright = _reading_frame(inner[index], normals[index])
            for frame in (upright, Frame(upright.origin, upright.y, tuple(-c for c in upright.x), upright.z)):
                if _is_clear(label, frame, surface, room):
                    return label, frame
    return None


def _small(text: str, table: LabelTable) -> list[Label]:
    """Return the id in the smallest letters that stay open, in one line and in more."""
    small = min(6 * table.stroke, table.height)
    return [Label(text, small, table.stroke, table.relief, False, rows) for rows in (1, 2, 3)]


def _inner_face(blank: Mesh, room: LabelRoom) -> tuple[np.ndarray, np.ndarray]:
    """Return points on the wall's inner face away from flanges, and the directions off it, (n, 3) each."""
    points, faces = sample_surface(blank, 4 * _TRIES, seed=5)
    depth, nearest, outward = room.skin.nearest_and_depth(points)
    off_flange = _to_seam(points, room) > room.flange_reach
    chosen = (np.abs(depth - room.wall) < _ON_INNER_FACE) & off_flange
    # Seen from the inner face the skin lies straight behind: what looks otherwise is a rim of an opening.
    facing = np.einsum("ij,ij->i", blank.normals[faces], -outward) > 0.9
    chosen &= facing
    points, inward = points[chosen][:_TRIES], -outward[chosen][:_TRIES]
    return points, inward


def _to_seam(points: np.ndarray, room: LabelRoom) -> np.ndarray:
    gap = np.full(len(points), np.inf)
    for plane in room.seams:
        np.minimum(gap, np.abs(plane.distance(points)), out=gap)
    return gap


def _reading_frame(origin: np.ndarray, inward: np.ndarray) -> Frame:
    """Return the frame in which the text stands upright for a reader inside; on a level face forward is up."""
    top = UP if abs(inward[2]) < 0.9 else FORWARD
    return frame_on(origin, inward, np.cross(top, inward))


def _is_clear(label: Label, frame: Frame, surface: MeshDistance, room: LabelRoom) -> bool:
    """Return whether the whole outline lies on plain inner face."""
    width, height = label.size
    flat = _GRID * [width + 2 * label.stroke, height + 2 * label.stroke]
    points = frame.to_world(np.column_stack([flat, np.zeros(len(flat))]))
    if _to_seam(points, room).min() < room.flange_reach:
        return False
    if any(np.linalg.norm(points - place, axis=1).min() < radius + height for place, radius in room.bosses):
        return False
    depth = room.skin.depth(points)
    if np.abs(depth - room.wall).max() > _BOW:
        return False
    # Below the outline there must be wall, not an opening: the middle of the wall lies inside the section.
    middle = points + (depth - room.wall / 2)[:, None] * -np.asarray(frame.z)
    # Above it there must be air, not the collar of an opening.
    above = points + (depth - room.wall - label.relief - _AIR)[:, None] * -np.asarray(frame.z)
    return bool((surface.depth(middle) > 0.3 * room.wall).all() and (surface.depth(above) < 0).all())
