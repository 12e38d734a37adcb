"""The inner face of one cell as smooth fitted surfaces, read off the same distance field the print solid is made of.

Faces of the skin that run on smoothly into one another make a group. Each group's wall, flange height and flange
backs are one height field each: points of the field's iso-surface, carried past the cell so that the surface cuts
all through it.

Points come from the exact skin moved inward, not from the print mesh, which is off by up to half a lattice square
along inner edges. Two faces that meet at 3 to 12 deg are first taken for one: surfaces that cross at a small angle
are what OCC is worst at. Less surface beyond the cell is no help: two cells that had carved well then failed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from scipy.spatial import cKDTree

from sections.errors import NotExact
from sections.numbers.bounds import in_box
from sections.numbers.frame import Frame, Plane, frame_on
from sections.numbers.height_field import HeightField, fit_height_field
from sections.solids.distance import MeshDistance
from sections.solids.skin_samples import Crease, SkinSamples
from sections.wall.depth import DepthRule
from sections.wall.recess import recesses_of

# deg; faces that meet at less are one smooth group. A gentle edge is first taken for smooth: two surfaces that cross at
# a small angle are what OCC is worst at, and one surface through both is off by little, which is measured.
GENTLE, SMOOTH = 12.0, 3.0
# mm; how far surfaces are fitted beyond the cell, and how far their edge lies beyond the last point.
_BEYOND, _RIM = 14.0, 8.0
# A surface may turn this far (cosine) from the plane it is a height field over.
_STEEPEST = 0.25
# mm; knots are first laid this far apart, and closer until the surface is within the limit for its kind.
_STEP, _CLOSEST, _CLOSER = 40.0, 8.0, 1.6
_WALL_OFF, _FLANGE_OFF, _WORST = 0.03, 0.06, 0.1
# mm; a point of the offset this much nearer to its own group than asked lies beyond a fold of the offset.
_FOLDED = 0.03
_FEWEST = 8
# mm; from so near, in units of depth, a point is brought onto a flange's back.
_NEAR = 6.0
# Where the flange's back runs this nearly along the skin's normal, its points are found by search.
_ALONG_NORMAL = 0.25


@dataclass(frozen=True)
class OffsetGroup:
    """The offsets of one smooth group of skin faces within a cell; heights grow toward the skin.

    wall, height : at the wall's thickness and at the flange's height below the skin; None where none is in the cell.
    backs : the sloped backs of the flanges, one for each seam that has one here.
    """

    wall: HeightField | None
    height: HeightField | None
    backs: tuple[HeightField, ...]

    @property
    def fields(self) -> list[HeightField]:
        """All of its surfaces."""
        return [field for field in (self.wall, self.height, *self.backs) if field is not None]

    def hollow(self, points: np.ndarray) -> np.ndarray:
        """Return a number for each of (n, 3) points, positive where the group leaves the space hollow, about mm."""
        below = [-field.above(points) for field in (self.wall, *self.backs) if field is not None]
        least = np.min(below, axis=0) if below else np.full(len(points), np.inf)
        if self.height is None or not self.backs:
            return least
        return np.maximum(least, -self.height.above(points))


@dataclass(frozen=True)
class CellRegion:
    """Where a cell is: (2, 3) bounds of its block, mm, and its seam planes with the cell on their plus side."""

    bounds: np.ndarray
    planes: tuple[Plane, ...]

    def holds(self, points: np.ndarray, beyond: float) -> np.ndarray:
        """Return which of (n, 3) points lie within it or at most `beyond` mm outside."""
        inside = in_box(points, self.bounds, beyond)
        for plane in self.planes:
            inside &= plane.distance(points) > -beyond
        return inside


def offset_groups(
    samples: SkinSamples, skin: MeshDistance, rule: DepthRule, cell: CellRegion, smooth: float = SMOOTH
) -> tuple[list[OffsetGroup], list[list[int]]]:
    """Return (the groups of a cell, largest first; the faces, by number, of the recesses that reach into it).

    rule : its seams are the cell's planes. smooth : deg, faces of one group meet at less.

    Raises NotExact where a flange comes about one, or the rest is no set of height fields that meet at convex edges.
    """
    reach = rule.height + 20.0
    local = _Local.of(samples, skin, cell, reach)
    reached = set(local.reaching(rule.wall)) | (set(local.reaching(rule.height)) if rule.seams else set())
    # Further off an edge makes no recess: a face may be as long as the body.
    near = [part for crease in samples.creases if len(part := crease.only(cell.holds(crease.points, reach)))]
    recesses = [members for members in recesses_of(near, smooth) if reached & set(members)]
    for members in recesses:
        _refuse_flange_about(local.of_faces(members), rule)
    faces = sorted(reached - {face for members in recesses for face in members})
    creases = [crease for crease in near if set(crease.faces) <= set(faces)]
    made = []
    for members in _smooth_groups(faces, creases, smooth):
        part = local.of_faces(members)
        made.append((len(part.points), _fit_group(part, rule, _rim(members, creases, rule.height))))
    return [group for _, group in sorted(made, key=lambda pair: -pair[0]) if group.fields], recesses


def _refuse_flange_about(recess: _Local, rule: DepthRule) -> None:
    """Raise NotExact where the inner face about a recess is not at the wall's depth alone."""
    at = recess.points - rule.wall * recess.normals
    if (rule.at(at[recess.cell.holds(at, 0.0)]) > rule.wall + _FOLDED).any():
        raise NotExact("a flange comes about an edge of its skin that points inward")


def _smooth_groups(faces: list[int], creases: list[Crease], smooth: float) -> list[list[int]]:
    """Return the faces in groups that run on smoothly. Raises NotExact where a crease fades out."""
    group = {face: face for face in faces}

    def first(face: int) -> int:
        while group[face] != face:
            face = group[face]
        return face

    sharp = []
    for crease in creases:
        if np.abs(crease.turn).max() < smooth:
            group[first(crease.faces[0])] = first(crease.faces[1])
        else:
            sharp.append(crease)
    for crease in sharp:
        if first(crease.faces[0]) == first(crease.faces[1]):
            raise NotExact("a crease of its skin fades out")
    members: dict[int, list[int]] = {}
    for face in faces:
        members.setdefault(first(face), []).append(face)
    return list(members.values())


def _rim(members: list[int], creases: list[Crease], height: float) -> float:
    """Return how far, mm, a group's surfaces must run on past their last points, to pass through its neighbours'."""
    turns = [float(np.abs(one.turn).min()) for one in creases if len(set(one.faces) & set(members)) == 1]
    if not turns:
        return _RIM
    return min(_RIM + height / math.tan(math.radians(min(max(min(turns), 15.0), 80.0))), 90.0)


@dataclass(frozen=True)
class _Local:
    """Samples near a cell, and the tree of all of them there, of whatever face, to tell which face a point is on.

    tree_faces : (k,) the exact face of each point of the tree.
    """

    points: np.ndarray
    normals: np.ndarray
    faces: np.ndarray
    skin: MeshDistance
    cell: CellRegion
    tree: cKDTree
    tree_faces: np.ndarray

    @staticmethod
    def of(samples: SkinSamples, skin: MeshDistance, cell: CellRegion, reach: float) -> _Local:
        near = cell.holds(samples.points, reach)
        points, faces = samples.points[near], samples.faces[near]
        return _Local(points, samples.normals[near], faces, skin, cell, cKDTree(points), faces)

    def of_faces(self, members: list[int]) -> _Local:
        chosen = np.isin(self.faces, members)
        return replace(self, points=self.points[chosen], normals=self.normals[chosen], faces=self.faces[chosen])

    def are_own(self, places: np.ndarray) -> np.ndarray:
        """Return which of (n, 3) points of the skin lie on one of these faces, by the nearest sample of all."""
        return np.isin(self.tree_faces[self.tree.query(places)[1]], self.faces)

    def reaching(self, depth: float) -> np.ndarray:
        """Return the faces whose offset by `depth` bounds something within the cell."""
        placed = self.points - depth * self.normals
        within = self.cell.holds(placed, 0.0)
        own = np.abs(self.skin.unsigned(placed[within]) - depth) < 2 * _FOLDED
        return np.unique(self.faces[within][own])


def _fit_group(part: _Local, rule: DepthRule, rim: float) -> OffsetGroup:
    def fit(points, toward_skin, limit: float, along=None) -> HeightField | None:
        if len(points) < _FEWEST or not part.cell.holds(points, 0.0).any():
            return None
        return _fit(points, toward_skin, part.cell, limit, rim, along)

    wall = fit(*_offset_points(part, rule.wall), _WALL_OFF)
    height, backs = None, []
    if rule.seams:
        height = fit(*_offset_points(part, rule.height), _FLANGE_OFF)
        for plane in part.cell.planes:
            points, toward_skin = _back_points(part, rule, plane)
            backs.append(fit(points, toward_skin, _FLANGE_OFF, np.cross(plane.normal, toward_skin.mean(0))
                             if len(points) else None))  # fmt: skip
    return OffsetGroup(wall, height, tuple(back for back in backs if back is not None))


def _fit(points, toward_skin, cell: CellRegion, limit: float, rim: float, along) -> HeightField:
    """Return the height field through points, within _WORST of them in the cell. Raises NotExact."""
    mean = toward_skin.mean(0)
    mean /= max(float(np.linalg.norm(mean)), 1e-9)
    if (toward_skin @ mean).min() < _STEEPEST:
        turn = math.degrees(math.acos(max(float((toward_skin @ mean).min()), -1.0)))
        raise NotExact(f"its inner face turns {turn:.0f} deg and is no height field over one plane")
    frame: Frame = frame_on(points.mean(0), mean, along)
    flat = frame.to_local(points)[:, :2]
    margin = np.array([rim, rim if along is None else _RIM])
    box = np.array([flat.min(0) - margin, flat.max(0) + margin])
    judged = points[cell.holds(points, 2.0)]
    step = _STEP
    while True:
        field = fit_height_field(points, frame, box, step)
        off = float(np.abs(field.above(judged)).max())
        if off < limit or step < _CLOSEST:
            break
        step /= _CLOSER
    if off > _WORST:
        raise NotExact(f"a fitted inner face is {off:.2f} mm off its offset")
    return field


def _offset_points(part: _Local, depth: float) -> tuple[np.ndarray, np.ndarray]:
    """Return points `depth` mm below the samples, and the ways to the skin, folds of the offset left out."""
    placed = part.points - depth * part.normals
    chosen = part.cell.holds(placed, _BEYOND)
    placed, ways = placed[chosen], part.normals[chosen]
    kept = ~_folded(part, placed, depth)
    return placed[kept], ways[kept]


def _folded(part: _Local, placed: np.ndarray, depth) -> np.ndarray:
    """Return which points of an offset lie nearer to their own group than they should."""
    if not len(placed) or not len(part.points):
        return np.zeros(len(placed), bool)
    distance, _, nearest = part.skin.nearest(placed)
    short = distance < depth - _FOLDED
    short[short] = part.are_own(nearest[short])
    return short


def _back_points(part: _Local, rule: DepthRule, plane: Plane) -> tuple[np.ndarray, np.ndarray]:
    """Return points on the back of one seam's flange, and the directions off it toward the skin."""
    slope, normal = math.tan(math.radians(rule.underside)), np.array(plane.normal)
    along = 1 - part.normals @ normal / slope
    plain = along > _ALONG_NORMAL
    depth = (rule.height - (plane.distance(part.points) - rule.thickness) / slope) / np.where(plain, along, 1.0)
    plain &= (depth > rule.wall - 3) & (depth < rule.height + 3)
    placed, ways = part.points[plain] - depth[plain, None] * part.normals[plain], part.normals[plain]
    chosen = part.cell.holds(placed, _BEYOND)
    placed, ways, depth = placed[chosen], ways[chosen], depth[plain][chosen]
    kept = ~_folded(part, placed, depth)
    found, found_ways = _searched_back(part, along <= _ALONG_NORMAL, rule, plane)
    placed, ways = np.vstack([placed[kept], found]), np.vstack([ways[kept], found_ways])
    toward = ways - normal / slope
    return placed, toward / np.maximum(np.linalg.norm(toward, axis=1, keepdims=True), 1e-9)


def _searched_back(part: _Local, rows: np.ndarray, rule: DepthRule, plane: Plane) -> tuple[np.ndarray, np.ndarray]:
    """Return points of the back found by Newton's steps in the field, and outward normals of the skin above them."""
    slope, normal = math.tan(math.radians(rule.underside)), np.array(plane.normal)
    level = rule.height + rule.thickness / slope
    depths = np.arange(rule.wall - 2, rule.height + 4, 4.0)
    points = np.vstack([part.points[rows] - depth * part.normals[rows] for depth in depths])
    # A point lies at most as deep as it was moved: what is too far on the plain side so stays there.
    deepest = np.repeat(depths, int(rows.sum()))
    near = deepest + plane.distance(points) / slope - level > -_NEAR
    points = points[near & part.cell.holds(points, _BEYOND)]
    for _ in range(5):
        depth, _, out = part.skin.nearest_and_depth(points)
        off = depth + plane.distance(points) / slope - level
        near = np.abs(off) < _NEAR
        points, out, off = points[near], out[near], off[near]
        steepest = normal / slope - out
        points = points - (off / np.maximum((steepest**2).sum(1), 1e-3))[:, None] * steepest
    if not len(points):
        return np.empty((0, 3)), np.empty((0, 3))
    depth, nearest, out = part.skin.nearest_and_depth(points)
    kept = (np.abs(depth + plane.distance(points) / slope - level) < 0.005) & part.cell.holds(points, _BEYOND)
    kept &= (depth > rule.wall - 2.5) & (depth < rule.height + 3)
    kept[kept] = part.are_own(nearest[kept])
    return points[kept], out[kept]
