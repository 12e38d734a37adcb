"""Where on a joint line there is room: for a key within its face, for a bolt clear of the next seam's flange."""

import numpy as np
import pytest
import shapely

from sections.features.bolt import Bolt
from sections.features.dowel import Dowel
from sections.features.key import Key
from sections.numbers.frame import Plane
from sections.numbers.mesh import Mesh, join
from sections.plan.fastening import Fastening
from sections.plan.room import NONE, Surroundings, find_room, in_plastic
from sections.plan.runs import Run
from sections.settings import Settings
from sections.settings.joint_line import flange_reach
from sections.solids.distance import MeshDistance
from sections.solids.planar import on_plane
from sections.solids.print_solid import PrintSolid


@pytest.mark.parametrize("off_end", [0.3, 20.0])
def test_key_at_the_end_of_its_face(off_end):
    """Two blocks of 100 x 60 x 40 on one another; the line runs 0.3 or 20 mm inside their edge. Wherever the key is
    put, its outline of 20 x 5 (the defaults) lies over the face, with its clearance and 1.6 mm of web."""
    settings = Settings.model_validate({"name": "any", "body": {"file": "any.stl", "units": "mm"}})
    key = Key.of(settings)
    plane = Plane((0.0, 0.0, 1.0), 0.0)
    frame = plane.frame()
    blocks = [PrintSolid.box(np.array([0, 0, z]), np.array([100, 60, z + 40])).mesh() for z in (-40, 0)]
    sides = join([Mesh(block.vertices, block.faces[~on_plane(block, plane)]) for block in blocks])
    corners = frame.to_local(np.array([[0, 0, 0], [100, 0, 0], [100, 60, 0], [0, 60, 0]], float))[:, :2]
    face = shapely.MultiPolygon([shapely.Polygon(corners)])
    body = PrintSolid.box(np.array([-500, -500, -500]), np.array([600, 600, 500])).mesh()
    around = Surroundings(frame, face, MeshDistance(sides), MeshDistance(body), 4.0, (), (), 30.0, 6.0)
    line = np.column_stack([np.linspace(30, 70, 9), np.full(9, off_end), np.zeros(9)])
    points = frame.to_local(line)[:, :2]
    along = (points[-1] - points[0]) / np.linalg.norm(points[-1] - points[0])
    run = Run(points, np.tile(along, (9, 1)), np.linspace(0, 40, 9), False)
    places = find_room(in_plastic(key, around), run, around).places
    assert not np.isnan(places).any()
    across = np.array([-along[1], along[0]])
    for place in places:
        rim = [place + x * along + y * across for x in (-10, 10) for y in (-2.5, 2.5)]
        assert all(face.contains(shapely.Point(corner)) for corner in rim)
        assert min(face.boundary.distance(shapely.Point(corner)) for corner in rim) >= 0.2 + 1.6 - 1e-6


@pytest.mark.parametrize("gap, has_room", [(-0.1, False), (0.1, True)])
def test_bolt_beside_the_next_flange(gap, has_room):
    """The widest bar a bolt needs behind its flange, its radius counted, comes within `gap` of the next flange, on both
    sides of the seam."""
    settings = Settings.model_validate({"name": "any", "body": {"file": "any.stl", "units": "mm"}})
    bolts, reach = Bolt.choices(settings), flange_reach(settings)
    body = MeshDistance(PrintSolid.box(np.full(3, -500.0), np.full(3, 500.0)).mesh())
    frame = Plane((0.0, 0.0, 1.0), 0.0).frame()
    face = shapely.MultiPolygon([shapely.box(-90, -90, 90, 90)])
    beside = Plane((1.0, 0.0, 0.0), -(reach + bolts[0].half_length + gap))
    around = Surroundings(frame, face, body, body, 4.0, (beside,), (beside,), reach, 6.0)
    points = frame.to_local(np.zeros((1, 3)))[:, :2]
    run = Run(points, np.array([[0.0, 1.0]]), np.zeros(1), False)
    with_nuts = tuple(bolt for bolt in bolts if bolt.held == "nut")
    assert (Fastening(with_nuts, around, None).judge(run).rank[0] == 0) == has_room


@pytest.mark.parametrize(("leaning", "held", "screw"), [
    (0.0, "nut", "minus"), (30.0, "insert", "minus"), (-30.0, "insert", "plus"),
])  # fmt: skip
def test_where_the_skin_leans_over_a_side_its_flange_takes_an_insert(leaning, held, screw):
    """Under a flat skin that leans over the plus side by 30 deg no nut is got to there; leaning the other way, the
    other way round. Upright, both sides are free."""
    settings = Settings.model_validate({"name": "any", "body": {"file": "any.stl", "units": "mm"}})
    turn = np.radians(leaning)
    normal = np.array([np.cos(turn), 0.0, np.sin(turn)])
    # All within 500 mm of a skin through a line 13.6 mm beside the place looked at.
    skin = PrintSolid.box(np.full(3, -900.0), np.full(3, 900.0)).clip([Plane(tuple(-normal), -13.6 * normal[0])])
    body = MeshDistance(skin.mesh())
    frame = Plane((0.0, 0.0, 1.0), 0.0).frame()
    face = shapely.MultiPolygon([shapely.box(-300, -300, 300, 300)])
    far = MeshDistance(PrintSolid.box(np.full(3, -2000.0), np.full(3, 2000.0)).mesh())
    around = Surroundings(frame, face, far, body, 4.0, (), (), flange_reach(settings), 6.0)
    run = Run(np.zeros((1, 2)), np.array([[0.0, 1.0]]), np.zeros(1), False)
    bolts = Bolt.choices(settings)
    rank = Fastening(bolts, around, None).judge(run).rank[0]
    assert rank != NONE and (bolts[rank].held, bolts[rank].screw) == (held, screw)


@pytest.mark.parametrize("kind", ["dowel", "key"])
@pytest.mark.parametrize("side", ["minus", "plus", "neither"])
def test_off_the_joints_of_the_next_seam(kind, side):
    """Joints of a seam that ends this one stand in up to 6 mm from it, through a bolt's flange. In a section that it
    bounds a joint keeps its own web of 1.6 off those; in the other, where the plastic goes on, it need not."""
    settings = Settings.model_validate({"name": "any", "body": {"file": "any.stl", "units": "mm"}})
    joint = Dowel.of(settings, slot=True) if kind == "dowel" else Key.of(settings)
    half = 2.1 + 1.0 if kind == "dowel" else 10.2
    body = MeshDistance(PrintSolid.box(np.full(3, -500.0), np.full(3, 500.0)).mesh())
    frame = Plane((0.0, 0.0, 1.0), 0.0).frame()
    face = shapely.MultiPolygon([shapely.box(-90, -90, 90, 90)])
    along = frame.to_local(np.array([[1.0, 0.0, 0.0]]))[0, :2]
    beside = (Plane((1.0, 0.0, 0.0), 0.0),)
    planes = (beside if side == "minus" else (), beside if side == "plus" else ())
    around = Surroundings(frame, face, body, body, 4.0, *planes, 30.0, 6.0)
    for gap, room in ((-0.05, side == "neither"), (0.05, True)):
        at = frame.to_local(np.array([[half + 1.6 + 6.0 + gap, 0.0, 0.0]]))[:, :2]
        run = Run(at, along[None], np.zeros(1), False)
        # Only where it was asked for: not moved aside.
        assert (in_plastic(joint, around)(run).rank[0] == 0) == room
