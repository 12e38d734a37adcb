"""Where a surface runs together in one point, its mesh still keeps the deviation (closed form: the sphere)."""

import cadquery as cq
import numpy as np
import pytest

from sections.solids.tessellate import tessellate


@pytest.mark.parametrize(("radius", "deviation"), [(150, 0.02), (150, 0.1), (1000, 0.1)])
def test_mesh_of_a_ball_keeps_its_deviation_at_the_poles(radius, deviation):
    """Every edge's middle lies within the deviation of R: read from the mesh, not from points of the surface.

    Before free parameters at poles were distinguished, edges there were up to 0.3 mm off for 0.1 asked.
    """
    solid = cq.Solid.makeSphere(radius, angleDegrees1=-90, angleDegrees2=90)
    corners = tessellate(solid.wrapped, deviation, "ball").mesh.triangles
    middles = (corners + np.roll(corners, 1, axis=1)) / 2
    assert np.linalg.norm(corners, axis=2) == pytest.approx(radius, abs=1e-6)
    assert radius - np.linalg.norm(middles, axis=2).min() <= deviation
