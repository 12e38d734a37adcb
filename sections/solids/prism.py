"""A 2D outline drawn out into a solid."""

from __future__ import annotations

import manifold3d
import numpy as np
import shapely

from sections.solids.planar import as_multipolygon
from sections.solids.print_solid import PrintSolid


def prism(outline: shapely.Geometry, low: float, high: float) -> PrintSolid:
    """Return the solid over an outline in x, y between two heights z, mm. Holes stay open."""
    rings = []
    for part in as_multipolygon(outline).geoms:
        rings.append(np.array(part.exterior.coords)[:-1])
        rings += [np.array(hole.coords)[:-1] for hole in part.interiors]
    flat = manifold3d.CrossSection(rings, manifold3d.FillRule.EvenOdd)
    return PrintSolid(manifold3d.Manifold.extrude(flat, high - low)).moved((0.0, 0.0, low))
