"""The line along a seam's flange on which its joints are strung."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, MultiPolygon
from skimage.measure import find_contours

from sections.numbers.frame import Frame
from sections.solids.distance import MeshDistance

# mm; lattice for finding the line, and the shortest piece worth a joint.
_LATTICE = 3.0
_SHORTEST = 6.0
# mm; spacing of the stations on the line: a sixtieth of it, within these.
_CLOSEST, _WIDEST = 2.5, 5.0


@dataclass(frozen=True)
class Run:
    """One piece of the joint line of an interface.

    points : (n, 2) stations, in the seam plane's frame, mm. tangents : (n, 2) unit. arc : (n,) mm from its start.
    closed : the line returns to its start.
    """

    points: np.ndarray
    tangents: np.ndarray
    arc: np.ndarray
    closed: bool

    @property
    def length(self) -> float:
        """Length of the line, mm, the closing step included."""
        return float(self.arc[-1] + (self.arc[1] if self.closed else 0.0))


def part_of(run: Run, rows: np.ndarray) -> Run:
    """Return some stations of a run, by their numbers, (k,)."""
    return Run(run.points[rows], run.tangents[rows], run.arc[rows], False)


def joint_runs(outline: MultiPolygon, frame: Frame, skin: MeshDistance, depth: float) -> list[Run]:
    """Return the pieces, longest first, of the line `depth` mm below the skin that lie on an interface.

    outline : the interface in the x, y of `frame`, a frame on the seam plane.
    """
    lines = []
    for part in outline.geoms:
        for line in _level_lines(part, frame, skin, depth):
            inside = shapely.intersection(line, part)
            lines += [piece for piece in _linestrings(inside) if piece.length > _SHORTEST]
    runs = [_run(line) for line in lines]
    return sorted(runs, key=lambda run: (-round(run.length, 3), *np.round(run.points[0], 3)))


def _level_lines(part, frame: Frame, skin: MeshDistance, depth: float) -> list[LineString]:
    """Return the lines at `depth` below the skin over one polygon and a little beyond its edge."""
    low_x, low_y, high_x, high_y = part.bounds
    xs = np.arange(low_x - 2 * _LATTICE, high_x + 3 * _LATTICE, _LATTICE)
    ys = np.arange(low_y - 2 * _LATTICE, high_y + 3 * _LATTICE, _LATTICE)
    grid = np.stack(np.meshgrid(xs, ys, indexing="ij"), -1)
    near = shapely.contains_xy(part.buffer(2 * _LATTICE), grid[..., 0], grid[..., 1])
    flat = grid[near]
    value = np.full(grid.shape[:2], np.nan)
    value[near] = skin.depth(frame.to_world(np.column_stack([flat, np.zeros(len(flat))])))
    contours = find_contours(value, depth, mask=near)
    start = np.array([xs[0], ys[0]])
    return [LineString(start + contour * _LATTICE) for contour in contours if len(contour) > 1]


def _linestrings(shape) -> list[LineString]:
    merged = shapely.line_merge(shape) if not isinstance(shape, LineString) else shape
    if isinstance(merged, LineString):
        return [merged] if not merged.is_empty else []
    return [part for part in getattr(merged, "geoms", []) if isinstance(part, LineString)]


def _run(line: LineString) -> Run:
    closed = bool(line.is_closed)
    smooth = line.simplify(0.05)
    if _backwards(smooth):
        smooth = smooth.reverse()
    station = min(max(smooth.length / 60, _CLOSEST), _WIDEST)
    count = max(int(round(smooth.length / station)), 3)
    arc = np.linspace(0, smooth.length, count, endpoint=not closed)
    points = shapely.get_coordinates(shapely.line_interpolate_point(smooth, arc))
    around = np.roll(points, -1, axis=0) - np.roll(points, 1, axis=0)
    step = around if closed else np.gradient(points, axis=0)
    tangents = step / np.maximum(np.linalg.norm(step, axis=1, keepdims=True), 1e-12)
    return Run(points, tangents, arc, closed)


def _backwards(line: LineString) -> bool:
    """Return whether a line should be turned round, so that equal lines always run the same way."""
    first, last = np.array(line.coords[0]), np.array(line.coords[-1])
    return tuple(np.round(last, 3)) < tuple(np.round(first, 3))
