"""Points on exact faces that are not asked of OCC one by one, held against those that are."""

import cadquery
import numpy as np
import pytest

from sections.solids.surface import ExactSurface

_BOX = cadquery.Workplane("XY").box(10, 20, 30).rotate((0, 0, 0), (1, 2, 3), 37).translate((4000, 300, -77)).val()
_MOVED = _BOX.moved(cadquery.Location(cadquery.Vector(5, 6, 7), cadquery.Vector(1, 1, 0), 33))
_POSTS = [cadquery.Vector(x, y, 0.01 * x * y) for x in (0, 50, 100) for y in (0, 50, 100)]
_BENT = cadquery.Face.makeSplineApprox([_POSTS[:3], _POSTS[3:6], _POSTS[6:]])


@pytest.mark.parametrize("face", [*_BOX.Faces(), *_MOVED.Faces(), _BENT])
def test_as_occ_places_them(face):
    surface = ExactSurface(face.wrapped)
    span = 1.0 if surface.kind == "BSplineSurface" else 4000.0
    asked = np.random.default_rng(5).uniform(0, span, (60, 2))
    values = [surface._adaptor.Value(u, v) for u, v in asked.tolist()]
    assert surface.points(asked) == pytest.approx(np.array([(p.X(), p.Y(), p.Z()) for p in values]), abs=1e-11)
    assert surface.is_flat == (face is not _BENT)
