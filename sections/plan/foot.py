"""The foot printed beside a section that would tip over: a plate out to under its centre of mass."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from sections.plan.bed_cost import ON_EDGE
from sections.solids.layers import PrintLayers

# mm; between foot and section in the lowest layers: nearer than two lines are to one another, so that they hold, and no
# more; and above those.
GAP, CLEAR = 0.05, 0.25
# mm; a centre of mass nearer to the edge of what it stands on gets a foot; how far that reaches past it.
_SAFE, _PAST = 5.0, 10.0
# mm; its outline is made simpler by so much.
_SIMPLE = 0.5
# mm; how high a foot stands along an edge. Height of a layer, to which a plate is rounded up.
_ALONG_EDGE, _LAYER = 8.0, 0.2
# MPa, what a plate is let be bent to; how many times its weight a section leans on it, knocked by the nozzle. Common
# practice, no source. m/s2.
_BENT, _KNOCKED, _GRAVITY = 10.0, 3.0, 9.81


@dataclass(frozen=True)
class Foot:
    """A plate on the bed, and along an edge a wedge, snapped or sawn off. It stands `gap` mm off the section in its
    lowest layers, by which it holds, and `clear` above.

    outline : corners in the bed's x and y, mm, what the section takes up not yet taken out. plate : its thickness.
    wedge : how high it stands along an edge, on both sides of it; 0 without.
    """

    outline: tuple[tuple[float, float], ...]
    plate: float
    wedge: float
    gap: float = GAP
    clear: float = CLEAR


def foot_for(layers: PrintLayers, mass: float, height: float, thickness: float, free: np.ndarray) -> Foot | None:
    """Return the foot a section needs as it stands; None where it needs none, would be no higher than one, or may have
    none.

    mass : kg, solid. height : mm, of the section as it lies. thickness : mm, the least of a plate; 0: none. free :
    (2, 2) mm, the bed's usable x and y.
    """
    on_edge = layers.first < ON_EDGE
    if thickness == 0 or (layers.lean < -_SAFE and not on_edge):
        return None
    under = shapely.MultiPoint(layers.path).convex_hull.buffer(_PAST, quad_segs=4)
    base = shapely.MultiPoint(layers.base).convex_hull.buffer(_PAST if on_edge else 0.0, quad_segs=4)
    outline = under.union(base).convex_hull.simplify(_SIMPLE) & shapely.box(*free.ravel())
    # Along an edge it is the wedge that it leans on.
    wide = max(_across(layers), 2 * _PAST if on_edge else 1.0)
    bending = _KNOCKED * _GRAVITY * mass * max(layers.lean, 0.0)
    plate = max(thickness, math.sqrt(6 * bending / (_BENT * wide)))
    plate = math.ceil(plate / _LAYER - 1e-6) * _LAYER
    corners = tuple((round(x, 3), round(y, 3)) for x, y in shapely.get_coordinates(outline.exterior)[:-1].tolist())
    foot = Foot(corners, round(plate, 3), _ALONG_EDGE if on_edge else 0.0)
    return foot if height > max(foot.plate, foot.wedge) + _LAYER else None


def _across(layers: PrintLayers) -> float:
    """Return how wide what a section stands on is, mm, square to the way it would tip."""
    middle = layers.base.mean(0)
    off = layers.path[np.linalg.norm(layers.path - middle, axis=1).argmax()] - middle
    along = np.array([-off[1], off[0]]) / max(float(np.linalg.norm(off)), 1e-9)
    return float(np.ptp(layers.base @ along))
