"""What each layer of a part stands on, as it lies on the bed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import manifold3d
import numpy as np
from scipy.spatial import ConvexHull, QhullError

from sections.solids.print_solid import PrintSolid

# deg from the upright; what leans out no more than that stands on the layer below it. 45: common practice, no source;
# 1 more, so that what is drawn at 45 is not cut by rounding.
STANDS = 46.0
# mm; distance of the layers looked at, and how high above the bed the first one is taken.
STEP, _FIRST = 2.0, 0.1
# mm; outlines are made simpler by so much. Sides of a round corner. mm; strips narrower than twice that, and patches
# (mm2) smaller, are an outline's error.
_SIMPLE, _SIDES, _STRIP, _PATCH = 0.02, 24, 0.1, 0.5
# mm; a part whose first layer is less than a point's stands on what is so near above the bed.
_NEAR_BED = 0.3


@dataclass(frozen=True)
class PrintLayers:
    """What a part's layers stand on. Areas mm2.

    unsupported : with nothing within 46 deg below it and too long a way between what holds it on either side. where :
    (3,) amid the largest such patch of a layer, None without. bridged : what spans no more than a bridge may. first :
    area of the first layer. base : (n, 2) corners of the hull of what stands on the bed. middle : (3,) centre of mass.
    lean : mm, by which the centre of mass of what is printed lies furthest outside the hull, at whatever height;
    negative where it is so far inside at the worst. paths : (k, 2) where it is as the part grows, in x and y.
    """

    unsupported: float
    where: np.ndarray | None
    bridged: float
    first: float
    base: np.ndarray
    middle: np.ndarray
    lean: float
    path: np.ndarray


def layered(solid: PrintSolid, bridge: float) -> PrintLayers:
    """Return what the layers of a solid stand on; z is up, its lowest place on the bed. bridge : mm, the longest way
    that is spanned without support."""
    return layered_unless(solid, bridge, lambda first, unsupported, bridged: False)


def layered_unless(
    solid: PrintSolid, bridge: float, too_much: Callable[[float, float, float], bool]
) -> PrintLayers | None:
    """Return what the layers of a solid stand on, as `layered` does; None where it turns out to be too much.

    too_much : asked of the first layer's area, and of what is unsupported and what is bridged so far, mm2.
    """
    low, high = solid.bounds[:, 2]
    first = solid.manifold.slice(float(low + _FIRST))
    on_bed = first.area()
    heights = low + np.arange(STEP / 2, high - low, STEP)
    outlines: list[manifold3d.CrossSection] = []
    step = STEP * np.tan(np.radians(STANDS))
    unsupported, bridged, largest, where = 0.0, 0.0, 0.0, None
    for height in heights:
        if too_much(on_bed, unsupported, bridged):
            return None
        outlines.append(solid.manifold.slice(float(height)).simplify(_SIMPLE))
        if len(outlines) < 2:
            continue
        open_, spanned = _in_the_air(*outlines[-2:], step, bridge)
        bridged += spanned
        if open_ is None:
            continue
        unsupported += open_.area()
        for patch in open_.decompose():
            if patch.area() > largest:
                largest, where = patch.area(), np.array([*_middle(patch)[0], height])
    path, middle = _middles(outlines, heights)
    base = _base(first, solid, low)
    lean = float(max(_outside(base, path).max(initial=-np.inf), _outside(base, middle[None, :2])[0]))
    return PrintLayers(unsupported, where, bridged, on_bed, base, middle, lean, path)


def _in_the_air(below: manifold3d.CrossSection, own: manifold3d.CrossSection, step: float, bridge: float):
    """Return (what of a layer stands on nothing below it, None without; area of what is bridged, mm2)."""
    # Most layers of an upright wall stand wholly on the one below: that is asked first, and costs least.
    hangs = own - below
    if hangs.area() < _PATCH:
        return None, 0.0
    hangs -= below.offset(step, manifold3d.JoinType.Round, 2.0, _SIDES)
    if hangs.area() < _PATCH:
        return None, 0.0
    hangs = _without_strips(hangs)
    if hangs.area() < _PATCH:
        return None, 0.0
    held, round_ = _without_strips(own - hangs), manifold3d.JoinType.Round
    # What a disc as wide as a bridge is long cannot be laid into without touching what is held.
    closed = held.offset(bridge / 2, round_, 2.0, _SIDES).offset(-bridge / 2, round_, 2.0, _SIDES)
    return hangs - closed, (hangs ^ closed).area()


def _without_strips(outline: manifold3d.CrossSection) -> manifold3d.CrossSection:
    return outline.offset(-_STRIP, manifold3d.JoinType.Miter).offset(_STRIP, manifold3d.JoinType.Miter)


def _middles(outlines: list[manifold3d.CrossSection], heights: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return (the middle, in x and y, of all up to each layer, (k, 2) mm; that of the whole, (3,))."""
    found = [_middle(outline) for outline in outlines]
    area = np.array([area for _, area in found])
    sums = np.cumsum(np.array([middle * area for middle, area in found]), axis=0)
    path = sums / np.maximum(np.cumsum(area), 1e-9)[:, None]
    return path, np.array([*path[-1], float((heights * area).sum() / area.sum())])


def _middle(outline: manifold3d.CrossSection) -> tuple[np.ndarray, float]:
    """Return the middle, (2,) mm, of an outline and its area, mm2."""
    moment, area = np.zeros(2), 0.0
    for ring in outline.to_polygons():
        after = np.roll(ring, -1, axis=0)
        twice = ring[:, 0] * after[:, 1] - ring[:, 1] * after[:, 0]
        moment += ((ring + after) * twice[:, None]).sum(0) / 6
        area += twice.sum() / 2
    return moment / max(area, 1e-9), area


def _base(first: manifold3d.CrossSection, solid: PrintSolid, low: float) -> np.ndarray:
    """Return the corners of the hull of what stands on the bed, (n, 2) mm; of a part on an edge or a point, of all near
    it."""
    rings = first.to_polygons()
    points = np.vstack(rings) if rings else np.empty((0, 2))
    if len(points) < 3:
        corners = solid.corners
        points = corners[corners[:, 2] < low + _NEAR_BED][:, :2]
    try:
        return points[ConvexHull(points).vertices]
    except (QhullError, ValueError):
        # All on a line: it stands on an edge.
        return points


def _outside(base: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Return how far points, (n, 2), are outside a convex outline, (n,) mm; negative inside."""
    if len(base) < 3:
        gap = np.linalg.norm(points[:, None] - base, axis=2).min(1) if len(base) else np.full(len(points), np.inf)
        return gap
    after = np.roll(base, -1, axis=0)
    along = after - base
    out = np.column_stack([along[:, 1], -along[:, 0]]) / np.maximum(np.linalg.norm(along, axis=1), 1e-12)[:, None]
    return (points @ out.T - (base * out).sum(1)).max(1)
