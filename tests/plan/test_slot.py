"""A dowel's slot points at the other dowel: on a curved seam it needs room across the joint line as well."""

import numpy as np
import pytest
import trimesh
from shapely import MultiPolygon, box
from shapely.geometry import Point

from sections.features import JointSet
from sections.numbers.frame import Plane
from sections.numbers.mesh import Mesh
from sections.plan.contacts import Interface, contacts
from sections.plan.joints import JointRules, Side, plan_pair
from sections.plan.seams import Seam
from sections.settings import Settings
from sections.solids.distance import MeshDistance

SETTINGS = Settings.model_validate({"name": "any", "body": {"file": "any.stl", "units": "mm"}})
WALL, HOLE, LAND, TRAVEL = 4.0, 2.0 + 0.1, 1.6, 1.0
OUTER = 60.0


def ring(inner, low, high):
    made = trimesh.creation.annulus(inner, OUTER, high - low, sections=720)
    made.apply_translation([0, 0, (low + high) / 2])
    return Mesh(np.asarray(made.vertices), np.asarray(made.faces))


@pytest.mark.parametrize("spare", [0.8, 2.5])
def test_a_slot_turned_keeps_its_land(spare):
    """On half of a ring of two parts `spare` wider than a hole, its web and the wall. With little to spare the dowels
    stand so near one another that the slot hardly turns; with more than its travel they go as far apart as they can."""
    inner = OUTER - WALL - 2 * HOLE - LAND - spare
    plane = Plane((0.0, 0.0, 1.0), 0.0)
    face = Point(0, 0).buffer(OUTER, 180).difference(Point(0, 0).buffer(inner, 180)).intersection(box(0, -99, 99, 99))
    corners = np.asarray(face.exterior.coords)
    local = plane.frame().to_local(np.column_stack([corners, np.zeros(len(corners))]))[:, :2]
    outline = MultiPolygon([(local.tolist(), [])])
    interface = Interface(Seam("z1", "z1", plane, ()), "low", "high", outline)
    skin = trimesh.creation.cylinder(OUTER, 200, sections=720)
    skin = MeshDistance(Mesh(np.asarray(skin.vertices), np.asarray(skin.faces)))
    rules = JointRules(JointSet.of(SETTINGS), WALL + HOLE + spare / 2, 60.0, WALL, 30.0, 0.0)
    joints, _ = plan_pair(interface, Side(ring(inner, -30, 0), ()), Side(ring(inner, 0, 30), ()), skin, rules)
    one, two = (np.array(joint.frame.origin) for joint in joints if joint.joint.kind == "dowel")
    along = (two - one) / np.linalg.norm(two - one)
    ends = [at + side * TRAVEL * along for at in (one, two) for side in (-1, 1)]
    off_axis = np.linalg.norm(ends, axis=1)
    assert off_axis.min() >= inner + LAND + HOLE - 0.01 and off_axis.max() <= OUTER - WALL - HOLE + 0.01
    assert np.linalg.norm(two - one) > (20.0 if spare < 1 else 90.0)


@pytest.mark.parametrize(("wide", "long", "joined"), [
    (1.8, 40, False), (1.8, 80, True), (2.2, 20, True), (3.0, 9, False),
])  # fmt: skip
def test_what_touches_and_what_is_joined(wide, long, joined):
    """30 mm2 are a joint; of a strip less than 2 mm wide it takes 120."""
    low, high = MultiPolygon([box(0, 0, 300, 300)]), MultiPolygon([box(300 - wide, 0, 500, long)])
    sides = {"a": {"z1": -1}, "b": {"z1": 1}}
    seam = Seam("z1", "z1", Plane((0.0, 0.0, 1.0), 0.0), ())
    found = contacts({"a": {"z1": low}, "b": {"z1": high}}, sides, {"z1": seam})
    # What is not joined is not forgotten: the two still touch.
    assert (len(found.joined), len(found.touching)) == ((1, 0) if joined else (0, 1))
