"""A joint that is not in the house: with the protocol alone it is placed, cut, counted and kept clear of."""

import math
from dataclasses import dataclass

import cadquery as cq
import numpy as np
import pytest
from shapely import MultiPolygon, box

from sections.building.section import Bare, Toolbox, with_features
from sections.building.tools import joint_tools, made_loose_pieces
from sections.features import JointSet
from sections.features.bolt import Bolt
from sections.features.feature import Hardware, JointKind, Probe, Tool
from sections.numbers.frame import Plane
from sections.plan.contacts import Interface
from sections.plan.joints import JointRules, Side, plan_pair
from sections.plan.seams import Seam
from sections.settings import Settings
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid

SETTINGS = Settings.model_validate({"name": "any", "body": {"file": "any.stl", "units": "mm"}})
RADIUS, DEEP, WEB = 3.0, 5.0, 1.6


@dataclass(frozen=True)
class Peg:
    """A round peg in two round holes, one amid each run. It is nowhere in the house."""

    kind: str = "peg"
    reach = blind = cleared = DEEP
    half_length = RADIUS + WEB
    locates, is_turned, tongue, drilled = True, False, 0.0, 2 * RADIUS

    @staticmethod
    def on_seams(settings):
        """Return the one there is."""
        return JointKind("runs", (Peg(),), (Peg(),), "a peg")

    def tools(self):
        """Return a hole on either side."""
        hole = cq.Solid.makeCylinder(RADIUS, DEEP + 1.0)
        below = hole.moved(cq.Location(cq.Vector(0, 0, -DEEP)))
        return Tool("minus", "cut", below, 0.005), Tool("plus", "cut", hole.moved(cq.Location((0, 0, -1.0))), 0.005)

    def hardware(self):
        """Return the peg."""
        solid = cq.Solid.makeCylinder(RADIUS - 0.1, 2 * DEEP - 1.0).moved(cq.Location((0, 0, 0.5 - DEEP)))
        return Hardware("peg", "dowel", False, solid)

    def bought(self):
        """Return nothing."""
        return ()

    def probes(self):
        """Return the web about it."""
        z = np.linspace(-DEEP, DEEP, 5)
        return (Probe(np.column_stack([0 * z, 0 * z, z]), RADIUS, RADIUS + WEB),)

    def webs(self, side):
        """Return the web about it, on either side."""
        return tuple((probe, DEEP) for probe in self.probes())

    def access(self, side):
        """Return a bar just over its mouth."""
        return ((RADIUS + WEB, 1.0),)


def bar(low, high):
    return PrintSolid.box(np.array([-80.0, -20.0, low]), np.array([80.0, 20.0, high]))


@pytest.fixture(scope="module")
def planned():
    """A bar of 160 x 40 mm parted across: the joints of its seam, with pegs amid the run and bolts all along."""
    plane = Plane((0.0, 0.0, 1.0), 0.0)
    corners = np.array([[-80.0, -20, 0], [80, -20, 0], [80, 20, 0], [-80, 20, 0]])
    local = plane.frame().to_local(corners)[:, :2]
    outline = MultiPolygon([box(*local.min(0), *local.max(0))])
    interface = Interface(Seam("z1", "z1", plane, (), bolted=True), "low", "high", outline)
    skin = MeshDistance(PrintSolid.box(np.array([-80.0, -20, -40]), np.array([80.0, 20, 40])).mesh())
    kinds = JointSet((Peg.on_seams(SETTINGS), Bolt.on_seams(SETTINGS)))
    rules = JointRules(kinds, 12.0, 80.0, 4.0, 30.0, 0.0)
    low, high = bar(-12.0, 0.0), bar(0.0, 12.0)
    joints, short = plan_pair(interface, Side(low.mesh(), ()), Side(high.mesh(), ()), skin, rules)
    return joints, short, {"low": low, "high": high}


def test_it_is_placed_among_the_others(planned):
    """Each ring of the joint line gets its peg, and nothing comes nearer to another than both take up."""
    joints, short, _ = planned
    kinds = [joint.joint.kind for joint in joints]
    assert not short and "peg" in kinds and "bolt" in kinds and len(set(kinds)) == 2
    places = [(np.array(joint.frame.origin), joint.joint.half_length) for joint in joints]
    for number, (at, half) in enumerate(places):
        assert abs(at[2]) < 1e-9
        for there, other in places[:number]:
            assert np.linalg.norm(at - there) >= half + other - 1e-6


def test_it_is_cut_and_counted(planned):
    """Each takes a cylinder out of either section (closed form), and one loose piece stands at each."""
    joints, _, solids = planned
    pegs = [joint for joint in joints if joint.joint.kind == "peg"]
    tools = Toolbox(joint_tools({joint.joint for joint in pegs}), {}, {})
    for name, solid in solids.items():
        made = with_features(name, Bare(solid, solid), pegs, (), tools)
        taken = solid.volume_mm3 - made.volume_mm3
        assert taken == pytest.approx(len(pegs) * math.pi * RADIUS**2 * DEEP, rel=0.01)
    (piece,) = made_loose_pieces(pegs)
    assert len(piece.frames) == len(pegs)
