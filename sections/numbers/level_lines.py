"""Where a surface lies at one level along an axis, as lines, and ways along them."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import LineString, MultiLineString

from sections.numbers.mesh import Mesh

# mm; a corner of a mesh is taken to lie at least so far off a level.
_OFF = 1e-9


def level_lines(mesh: Mesh, axis: int, level: float) -> MultiLineString:
    """Return the lines in which a plane square to an axis, at `level` mm along it, cuts a mesh: in the two other axes,
    in their order, mm; closed where the mesh is. axis : 0, 1 or 2."""
    off = mesh.vertices[:, axis] - level
    off = np.where(np.abs(off) < _OFF, _OFF, off)
    above = (off > 0)[mesh.faces]
    cut = np.flatnonzero(above.any(1) & ~above.all(1))
    ends = np.sort(mesh.faces[cut][:, [[0, 1], [1, 2], [2, 0]]], axis=2)
    crossing = (off[ends[:, :, 0]] > 0) != (off[ends[:, :, 1]] > 0)
    # Of each edge from its first corner, so that two faces beside one have the same place to the last digit.
    one, two = ends[crossing].T
    part = (off[one] / (off[one] - off[two]))[:, None]
    across = [other for other in range(3) if other != axis]
    points = (mesh.vertices[one] + part * (mesh.vertices[two] - mesh.vertices[one]))[:, across]
    merged = shapely.line_merge(MultiLineString(list(points.reshape(-1, 2, 2))))
    return merged if isinstance(merged, MultiLineString) else MultiLineString([merged] if len(cut) else [])


def along_line(line: LineString, start: float, by: float) -> np.ndarray | None:
    """Return the place, (2,) mm, `by` mm further along a line than `start` mm from its beginning; None where it has
    ended by then, or come round to where it began."""
    at, length = start + by, line.length
    if line.is_ring and abs(by) < length:
        at %= length
    elif not 0 <= at <= length:
        return None
    return np.array(line.interpolate(at).coords[0])
