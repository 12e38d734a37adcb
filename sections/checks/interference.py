"""Two sections put together in place: nothing in the way, no gap."""

from __future__ import annotations

import numpy as np
import shapely

from sections.checks.built_parts import BuiltPair, CheckRules
from sections.checks.finding import Finding, Measure, place
from sections.checks.pair_faces import PairFaces
from sections.solids.planar import as_multipolygon

# mm; two faces on one plane in 32-bit floats may overlap or part by this much.
_TOUCH = 0.002
# mm3; less in common than this is arithmetic.
_FRAGMENT = 1e-3
_POINTS = 40
# mm; rays start this deep in the one section. Points keep further than that from the face's edge, so that a skin
# that leans does not come between.
_INSIDE = 0.2
_OFF_EDGE = 0.8


def check_interference(pair: BuiltPair, faces: PairFaces, rules: CheckRules) -> tuple[list[Finding], list[Measure]]:
    """Return a finding when what the two sections have in common reaches further off the seam than a touch.

    What they have in common lies no further beyond the seam than either reaches beyond it, so it is built only for
    sections that do reach beyond: a tongue, or a fault.
    """
    beyond = max(
        pair.plane.distance(pair.minus.mesh.vertices).max(), -pair.plane.distance(pair.plus.mesh.vertices).min()
    )
    if beyond <= _TOUCH:
        return [], [Measure("interference-reach", pair.id, float(max(beyond, 0.0)), "mm")]
    common = pair.minus.solid.common(pair.plus.solid)
    volume = common.volume_mm3
    measures = [Measure("interference", pair.id, volume, "mm3")]
    if volume <= _FRAGMENT:
        return [], measures
    corners = common.mesh().vertices
    reach = np.abs(pair.plane.distance(corners))
    worst = int(reach.argmax())
    measures.append(Measure("interference-reach", pair.id, float(reach[worst]), "mm"))
    if reach[worst] <= _TOUCH:
        return [], measures
    text = f"the sections overlap by {volume:.2f} mm3"
    found = Finding("interference", "fault", pair.id, float(reach[worst]), _TOUCH, "mm", place(corners[worst]), text)
    return [found], measures


def check_contact(pair: BuiltPair, faces: PairFaces, rules: CheckRules) -> tuple[list[Finding], list[Measure]]:
    """Return a finding when the two faces do not lie on one another: no common area, or a gap between them.

    The gap is read by rays from points of the one face, square to the seam, to the other section.
    """
    if faces.shared.is_empty:
        text = "the built sections have no face in common"
        return [Finding("no-contact", "fault", pair.id, 0.0, 0.0, "mm2", None, text)], []
    spots = _inside(faces.shared)
    if not len(spots):
        text = "the common face is too small to read a gap off"
        return [Finding("gap-unmeasured", "unmeasured", pair.id, None, None, "mm", None, text)], []
    normal = np.asarray(pair.plane.normal)
    start = faces.frame.to_world(np.column_stack([spots, np.zeros(len(spots))])) - _INSIDE * normal
    direction = np.broadcast_to(normal, start.shape)
    from_minus = _leave(pair.minus, start, direction)
    into_plus = pair.plus.surface.first_hit(start, direction)[1]
    gap = into_plus - from_minus
    worst = int(np.abs(np.nan_to_num(gap, nan=np.inf)).argmax())
    value = float(gap[worst])
    measures = [Measure("seam-gap", pair.id, value, "mm")]
    if abs(value) <= _TOUCH:
        return [], measures
    text = "gap between the faces" if value > 0 else "the faces overlap"
    where = place(start[worst])
    return [Finding("seam-gap", "fault", pair.id, value, _TOUCH, "mm", where, text)], measures


def _leave(section, start: np.ndarray, direction: np.ndarray) -> np.ndarray:
    """Return how far along rays that start just inside a section they leave it."""
    return section.surface.first_hit(start, direction)[1]


def _inside(shared) -> np.ndarray:
    """Return points (n, 2) well inside a face, on a lattice fitted to it."""
    inner = as_multipolygon(shared.buffer(-_OFF_EDGE))
    if inner.is_empty:
        return np.empty((0, 2))
    low_x, low_y, high_x, high_y = inner.bounds
    step = max(np.sqrt(inner.area / _POINTS), 0.5)
    xs, ys = np.arange(low_x, high_x + step, step), np.arange(low_y, high_y + step, step)
    grid = np.stack(np.meshgrid(xs, ys, indexing="ij"), -1).reshape(-1, 2)
    inside = grid[shapely.contains_xy(inner, grid[:, 0], grid[:, 1])]
    return inside if len(inside) else shapely.get_coordinates(inner.representative_point())
