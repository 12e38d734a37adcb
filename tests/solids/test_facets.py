"""A planar-faced B-rep of a mesh is valid and holds the mesh's volume."""

import pytest
import trimesh

from sections.numbers.mesh import Mesh
from sections.solids.brep_parts import explore
from sections.solids.facets import faceted
from sections.solids.print_solid import PrintSolid


@pytest.mark.parametrize("deviation, least", [(0.0, 1280), (0.5, 50)])
def test_ball(deviation, least):
    from OCP.TopAbs import TopAbs_FACE

    ball = trimesh.creation.icosphere(3, 50.0)
    made = faceted(PrintSolid.of(Mesh(ball.vertices, ball.faces)), deviation)
    assert made.is_valid and len(made.pieces()) == 1
    assert least <= len(explore(made.shape, TopAbs_FACE)) <= 1280
    assert abs(made.volume_mm3 - ball.volume) <= ball.area * deviation + 1e-6 * ball.volume
