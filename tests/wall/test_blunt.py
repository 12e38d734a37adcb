"""Edges where a seam leaves an opening at a small angle: areas of triangles by hand, for both solids."""

import math

import cadquery as cq
import numpy as np
import pytest

from sections.numbers.frame import Plane
from sections.solids.distance import MeshDistance
from sections.solids.exact_solid import ExactSolid
from sections.solids.print_solid import PrintSolid
from sections.solids.skin_samples import sample_skin
from sections.solids.tessellate import tessellate
from sections.wall.carve import carve
from sections.wall.carve_exact import carve_exact
from sections.wall.depth import DepthRule
from sections.wall.offset_fields import CellRegion, offset_groups
from sections.wall.opening_edges import Cutter, sharp_tips

BODY = cq.Solid.makeBox(200, 200, 200).moved(cq.Location((-100, -100, -200)))
SEAM = Plane((1.0, 0.0, 0.0), -50.0)
SIDES = (SEAM, Plane((0.0, -1.0, 0.0), -50.0), Plane((0.0, 0.0, 1.0), -60.0))
# Two lines of a nozzle of 0.4.
THICK = 0.8


def rule(edge):
    return DepthRule(4.0, 4.0, 1.0, 45.0, (SEAM,), edge)


def beside(angle):
    """Return an opening that takes all of the cell but a triangle between the seam, a line that leaves it at `angle`
    deg, and the end of the cell 50 from where they meet."""
    along = np.array([math.sin(math.radians(angle)), math.cos(math.radians(angle))])
    start, end = np.array([-50.0, 0.0]) - 20 * along, np.array([-50.0, 0.0]) + 150 * along
    outline = [start, end, (300.0, end[1]), (300.0, -120.0), (start[0], -120.0)]
    return cq.Workplane("XY").polyline([tuple(map(float, p)) for p in outline]).close().extrude(300).val().moved(
        cq.Location((0, 0, -250))
    )  # fmt: skip


def print_wall(opening, edge):
    mesh = tessellate(BODY.wrapped, 0.05, "body").mesh
    block = PrintSolid.of(mesh, "body").clip(SIDES)
    cutter = Cutter("beside", PrintSolid.of(tessellate(opening.wrapped, 0.05, "opening").mesh, "opening"))
    made = carve(block, MeshDistance(mesh), rule(edge), 5.0, [cutter])
    (piece,) = made.pieces
    return piece, sharp_tips(rule(edge), [cutter])


def exact_wall(opening, edge, tips):
    body = tessellate(BODY.wrapped, 0.05, "body")
    block = ExactSolid(BODY.wrapped).clip(SIDES)
    samples = sample_skin([BODY.wrapped], [body])
    groups, _ = offset_groups(samples, MeshDistance(body.mesh), rule(edge), CellRegion(block.bounds, SIDES))
    return carve_exact(block, groups, cutters=[Cutter("beside", ExactSolid(opening.wrapped))], tips=tips)


@pytest.mark.parametrize("angle", [12.0, 28.0, 44.0, 60.0])
def test_a_triangle_is_cut_blunt(angle):
    """The triangle's area is 50 * 50 tan(a) / 2; where a is less than 45 deg, its tip is cut square to what halves it,
    THICK wide: THICK^2 / (4 tan(a / 2)) less. Over the least of plate there is, 4 thick."""
    turn = math.radians(angle)
    opening = beside(angle)
    tip = THICK**2 / (4 * math.tan(turn / 2)) if angle < 45 else 0.0
    area = 50 * 50 * math.tan(turn) / 2
    sharp, none = print_wall(opening, 0.0)
    blunt, tips = print_wall(opening, THICK)
    assert none == [] and (not tips) == (angle > 45)
    assert sharp.volume_mm3 == pytest.approx(4 * area, rel=1e-4)
    assert sharp.volume_mm3 - blunt.volume_mm3 == pytest.approx(4 * tip, abs=0.02)
    exact = exact_wall(opening, THICK, tips)
    assert exact.is_valid and exact.volume_mm3 == pytest.approx(4 * (area - tip), rel=1e-5)


def test_round_an_opening():
    """A bore of 40 at 65 deg to a seam's normal: its edge, an ellipse of half axes 40 / cos 65 and 40, leaves the seam
    at 25 deg at one end and runs out beneath it. Looked through square to the seam, 0.05 inside the edge, there is next
    to no thickness; cut blunt, the edge is THICK or more, all along where the angle is under 45 deg."""
    plate = PrintSolid.box((-300, -200, -60), (300, 200, 20))
    lean = cq.Solid.makeCylinder(40, 600, cq.Vector(0, 0, -300)).rotate((0, 0, 0), (0, 1, 0), 65)
    cutter = Cutter("bore", PrintSolid.of(tessellate(lean.wrapped, 0.02, "bore").mesh, "bore"))
    seam = Plane((0.0, 0.0, -1.0), 0.0)
    least, end = {}, -40 / math.cos(math.radians(65))
    for edge in (0.0, THICK):
        tips = sharp_tips(DepthRule(4.0, 4.0, 1.0, 45.0, (seam,), edge), [cutter])
        made = plate.clip([seam]).cut([cutter.solid, *(PrintSolid.hull(corners) for corners in tips)]).mesh()
        on_seam = (np.abs(made.triangles[:, :, 2]) < 1e-6).all(1)
        places = made.vertices[np.unique(made.faces[on_seam])]
        places = places[(places[:, 0] < 0.8 * end) & (places[:, 0] > 1.1 * end) & (np.abs(places[:, 1]) < 40)]
        assert len(places) > 10
        inward = places / np.array([end**2, 40.0**2, 1.0])
        start = places + 0.05 * inward / np.linalg.norm(inward, axis=1, keepdims=True) - [0.0, 0.0, 1e-4]
        _, through = MeshDistance(made).first_hit(start, np.tile([0.0, 0.0, -1.0], (len(start), 1)))
        least[edge] = through.min()
    assert least[0.0] < 0.03 and least[THICK] > THICK
