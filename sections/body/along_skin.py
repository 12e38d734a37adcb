"""Places by their distance along the skin, at one level, from a seam or from the edge of an opening."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, Point

from sections.errors import PARAMETERS, BadInput, Problem
from sections.numbers.frame import Plane
from sections.numbers.level_lines import along_line, level_lines
from sections.numbers.mesh import Mesh
from sections.settings.places import ACROSS, SeenPlace

# mm; from so far along the skin to either side its direction is taken. mm; nearer than this two places are one.
_STEP, _SAME = 0.5, 1e-6


@dataclass(frozen=True)
class _View:
    """How a level is looked at. level, walked, looking : the axis, 0 to 2, square to the level, the one along which it
    is measured to its high or low end, and the line of sight. sign : of the direction of view along its axis."""

    level: int
    walked: int
    looking: int
    sign: float

    def flat(self, axis: int) -> int:
        """Return which of the two coordinates in the level an axis is, 0 or 1."""
        return [other for other in range(3) if other != self.level].index(axis)

    def nearness(self, points: np.ndarray) -> np.ndarray:
        """Return how far along the line of sight, mm, flat points (n, 2) lie; less is nearer to the viewer."""
        return self.sign * points[:, self.flat(self.looking)]

    def forward(self, points: np.ndarray) -> np.ndarray:
        """Return the coordinate, (n,) mm, toward whose high or low end is measured, of flat points (n, 2)."""
        return points[:, self.flat(self.walked)]


def place_along(
    seen: SeenPlace, looking: np.ndarray, skin: Mesh, edge: Plane | Mesh, key: str, name: str
) -> np.ndarray:
    """Return the place on a skin, (3,) mm, that is given by its distance along it from a seam or an opening.

    looking : (3,) unit, the direction of view. edge : the seam's plane, or the opening as a closed mesh. key, name : of
    what is to stand there, in the parameter file. Raises BadInput where the level misses the body, seam or opening, or
    the skin ends before.
    """
    ((letter, level),) = seen.levels.items()
    walked = ACROSS[seen.side].replace(letter, "")
    axis = int(np.abs(looking).argmax())
    view = _View("xyz".index(letter), "xyz".index(walked), axis, float(looking[axis]))
    asked = f"{letter} = {level:g}"

    def refused(limit: str, remedy: str) -> BadInput:
        return BadInput([Problem(PARAMETERS, key, name, limit, remedy)])

    lines = level_lines(skin, view.level, level)
    if lines.is_empty:
        low, high = skin.bounds[:, view.level]
        raise refused(f"a level that cuts the body, {letter} from {low:.1f} to {high:.1f}", "take another level")
    starts = _at_plane if isinstance(edge, Plane) else _at_opening
    found = [(view.nearness(start)[0], line, start[0], way) for line in lines.geoms
             for start, way in starts(line, edge, view, level, seen.end)]  # fmt: skip
    if not found:
        raise refused(f"a level at which {seen.beside} meets the skin; at {asked} it does not, or leaves no edge",
                      "take another level, or another thing to measure from")  # fmt: skip
    _, line, start, way = min(found, key=lambda one: one[0])
    place = along_line(line, line.project(Point(start)), way * seen.by)
    if place is None:
        raise refused(f"less than the skin is long at {asked}, {line.length:.0f} mm in all", "take a shorter way")
    return np.insert(place, view.level, level)


def _at_plane(
    line: LineString, plane: Plane, view: _View, level: float, end: str
) -> Iterator[tuple[np.ndarray, float]]:
    """Yield (where a line at a level crosses a plane, (1, 2) mm; 1 or -1, the way along the line toward the higher or
    lower end asked)."""
    corners = np.array(line.coords)
    off = plane.distance(np.insert(corners, view.level, level, axis=1))
    for number in np.flatnonzero(np.sign(off[:-1]) * np.sign(off[1:]) <= 0).tolist():
        if off[number] == off[number + 1]:
            continue
        part = off[number] / (off[number] - off[number + 1])
        start = corners[number] + part * (corners[number + 1] - corners[number])
        rise = float(view.forward(np.diff(_around(line, start), axis=0))[0])
        if abs(rise) > _SAME:
            yield start[None], np.sign(rise) * (1.0 if end == "high" else -1.0)


def _at_opening(
    line: LineString, opening: Mesh, view: _View, level: float, end: str
) -> Iterator[tuple[np.ndarray, float]]:
    """Yield (the end asked of what an opening cuts out of a line, (1, 2) mm; 1 or -1, the way along the line out of the
    opening there)."""
    inside = shapely.union_all(list(shapely.polygonize(list(level_lines(opening, view.level, level).geoms)).geoms))
    within = shapely.line_merge(line.intersection(inside))
    for part in getattr(within, "geoms", [within]):
        if not isinstance(part, LineString) or part.is_empty or part.is_ring:
            continue
        ends = np.array([part.coords[0], part.coords[-1]])
        forward = view.forward(ends)
        start = ends[forward.argmax() if end == "high" else forward.argmin()]
        before, behind = _around(line, start)
        out = [not inside.covers(Point(place)) for place in (before, behind)]
        if out[0] != out[1]:
            yield start[None], 1.0 if out[1] else -1.0


def _around(line: LineString, start: np.ndarray) -> np.ndarray:
    """Return places, (2, 2) mm, a little before and behind a place on a line."""
    at = line.project(Point(start))
    step = min(_STEP, line.length / 4)
    places = [along_line(line, at, by) for by in (-step, step)]
    return np.array([start if place is None else place for place in places])
