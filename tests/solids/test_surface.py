"""Points on exact faces that are not asked of OCC one by one, held against those that are."""

import cadquery
import numpy as np
import pytest

from sections.solids.surface import ExactSurface

_BOX = cadquery.Workplane("XY").box(10, 20, 30).rotate((0, 0, 0), (1, 2, 3), 37).translate((4000, 300, -77)).val()
_MOVED = _BOX.moved(cadquery.Location(cadquery.Vector(5, 6, 7), cadquery.Vector(1, 1, 0), 33))
_POSTS = [cadquery.Vector(x, y, 0.01 * x * y) for x in (0, 50, 100) for y in (0, 50, 100)]
_BENT = cadquery.Face.makeSplineApprox([_POSTS[:3], _POSTS[3:6], _POSTS[6:]])
# Each moved, and mirrored, so that its axes are left-handed.
_ROUND = [
    cadquery.Solid.makeCylinder(30, 80),
    cadquery.Solid.makeCone(40, 10, 60),
    cadquery.Solid.makeCone(0, 25, 60),
    cadquery.Solid.makeSphere(70, angleDegrees1=-60, angleDegrees2=70, angleDegrees3=200),
    cadquery.Solid.makeTorus(90, 20),
]
_PLACED = [
    one.moved(cadquery.Location(cadquery.Vector(400, -300, 200), cadquery.Vector(1, 2, -1), 50)) for one in _ROUND
]
_TURNED = [face for one in _PLACED for solid in (one, one.mirror("XZ")) for face in solid.Faces()]


@pytest.mark.parametrize("face", [*_BOX.Faces(), *_MOVED.Faces(), _BENT])
def test_as_occ_places_them(face):
    surface = ExactSurface(face.wrapped)
    span = 1.0 if surface.kind == "BSplineSurface" else 4000.0
    asked = np.random.default_rng(5).uniform(0, span, (60, 2))
    values = [surface._adaptor.Value(u, v) for u, v in asked.tolist()]
    assert surface.points(asked) == pytest.approx(np.array([(p.X(), p.Y(), p.Z()) for p in values]), abs=1e-11)
    assert surface.is_flat == (face is not _BENT)


def test_round_faces_as_occ_places_them():
    """Cylinders, cones, spheres and tori by their equations: all about them and along them."""
    kinds = set()
    for face in _TURNED:
        surface = ExactSurface(face.wrapped)
        kinds.add(surface.kind)
        asked = np.random.default_rng(6).uniform([0, -1.5], [2 * np.pi, 1.5], (60, 2))
        values = [surface._adaptor.Value(u, v) for u, v in asked.tolist()]
        assert surface.points(asked) == pytest.approx(np.array([(p.X(), p.Y(), p.Z()) for p in values]), abs=1e-11)
    assert kinds == {"Plane", "Cylinder", "Cone", "Sphere", "Torus"}
