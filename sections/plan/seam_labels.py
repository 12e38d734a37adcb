"""Where a label goes on a section with nothing but flange: sunk into one of its seam faces, clear of the joints."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiPolygon

from sections.features.label import FORWARD, UP, Label
from sections.numbers.frame import Frame, Plane, frame_on
from sections.solids.distance import MeshDistance
from sections.solids.planar import as_multipolygon

# mm; of plain face left around a label. Common practice, no source.
_WEB = 1.6
# mm; spacing of the places tried. Directions tried in half a turn.
_STEP, _TURNS = 2.0, 24
# Places over a label, in its widths and heights.
_GRID = np.stack(np.meshgrid(np.linspace(-0.5, 0.5, 5), np.linspace(-0.5, 0.5, 3), indexing="ij"), -1).reshape(-1, 2)


@dataclass(frozen=True)
class SeamFace:
    """A section's face on one of its seams.

    plane : the seam, its plus side off the plastic. outline : in the x, y of `frame`, on the seam, mm. taken : (n, 4)
    of every joint on it: its place, vehicle frame, and how far it reaches, mm.
    """

    plane: Plane
    frame: Frame
    outline: MultiPolygon
    taken: np.ndarray

    def plain(self) -> MultiPolygon:
        """Return what is free for a label, in the x, y of `frame`."""
        places = self.frame.to_local(self.taken[:, :3])[:, :2]
        joints = shapely.buffer(shapely.points(places), self.taken[:, 3] + _WEB)
        return as_multipolygon(self.outline.buffer(-_WEB).difference(shapely.union_all(joints)))


def label_seam_face(
    forms: list[Label], faces: tuple[SeamFace, ...], skin: MeshDistance, wall: float
) -> tuple[Label, Frame] | None:
    """Return the first of the forms that finds room on a seam face, the largest face first, and its frame: z off the
    plastic, the origin on the seam. None without room.

    skin : distance to the body's skin; a label keeps a whole `wall`, mm, off it.
    """
    largest_first = sorted(faces, key=lambda face: -face.outline.area)
    plains = [face.plain() for face in largest_first]
    for label in forms:
        for face, plain in zip(largest_first, plains, strict=True):
            middles = _below_skin(label, face, _middles(label, plain), skin, wall)
            frames = _frames(label, face, plain, middles)
            frame = next((one for one in frames if _leaves_wall(label, one, skin, wall)), None)
            if frame is not None:
                return label, frame
    return None


def _leaves_wall(label: Label, frame: Frame, skin: MeshDistance, wall: float) -> bool:
    """Return whether a label's outline, on the face and at its floor, lies a whole wall below the skin."""
    width, height = label.size
    flat = _GRID * [width + label.stroke, height + label.stroke]
    points = [frame.to_world(np.column_stack([flat, np.full(len(flat), z)])) for z in (0.0, -label.relief)]
    return bool(skin.depth(np.vstack(points)).min() >= wall)


def _middles(label: Label, plain: MultiPolygon) -> np.ndarray:
    """Return the places, (n, 2), where a label's middle is far enough from the edges of plain face, furthest first."""
    low_x, low_y, high_x, high_y = plain.bounds if not plain.is_empty else (0.0, 0.0, 0.0, 0.0)
    xs, ys = np.arange(low_x, high_x, _STEP), np.arange(low_y, high_y, _STEP)
    middles = np.stack(np.meshgrid(xs, ys, indexing="ij"), -1).reshape(-1, 2)
    shapely.prepare(plain)
    middles = middles[shapely.contains_xy(plain, middles[:, 0], middles[:, 1])]
    edge = shapely.distance(shapely.points(middles), plain.boundary)
    wide = edge >= (min(label.size) + label.stroke) / 2
    return middles[wide][np.argsort(-edge[wide], kind="stable")]


def _below_skin(label: Label, face: SeamFace, middles: np.ndarray, skin: MeshDistance, wall: float) -> np.ndarray:
    """Return those of the places, (n, 2), where a label's middle, on the face and at its floor, lies a whole wall, mm,
    below the skin: what rules most of a face out at once."""
    if not len(middles):
        return middles
    on_face = face.frame.to_world(np.column_stack([middles, np.zeros(len(middles))]))
    floor = on_face - label.relief * np.asarray(face.plane.normal)
    return middles[np.minimum(skin.depth(on_face), skin.depth(floor)) >= wall]


def _frames(label: Label, face: SeamFace, plain: MultiPolygon, middles: np.ndarray) -> Iterator[Frame]:
    """Yield the frames about the places, (n, 2), in which a label's outline lies on plain face."""
    width, height = (side + label.stroke for side in label.size)
    corners = np.array([(x, y) for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1))]) * (width / 2, height / 2)
    turns = np.pi * np.arange(_TURNS) / _TURNS
    spins = np.array([[[np.cos(t), np.sin(t)], [-np.sin(t), np.cos(t)]] for t in turns])
    for middle in middles:
        boxes = shapely.polygons(middle + corners @ spins)
        for turn in np.flatnonzero(shapely.contains(plain, boxes)):
            yield _reading_frame(face, middle, turns[turn])


def _reading_frame(face: SeamFace, middle: np.ndarray, turn: float) -> Frame:
    """Return the frame of a label, upright for who looks at the face; on a level face forward is up."""
    origin = face.frame.to_world(np.array([[*middle, 0.0]]))[0]
    outward = np.asarray(face.plane.normal)
    along = face.frame.rotation @ np.array([np.cos(turn), np.sin(turn), 0.0])
    top = UP if abs(outward[2]) < 0.9 else FORWARD
    return frame_on(origin, outward, along if np.cross(outward, along) @ top >= 0 else -along)
