"""What hands bring and turn, with the pod's own sections: as built all goes in; with something in the way not.

The pod's floor is open, so hands get in from below."""

from dataclasses import replace

import numpy as np
import pytest

from sections.checks.assembly_steps import beyond_seam, check_assembly_step, check_way_out
from sections.checks.bring_hardware import all_brought, check_brought, near, present_at
from sections.checks.hands import check_hands
from sections.checks.hardware import brought_to_boss, brought_to_joint
from sections.features.bolt import Bolt
from sections.numbers.frame import Frame
from sections.numbers.mesh import join
from sections.plan.hands import Hands, hand_space, in_the_way
from sections.plan.model import PlannedJoint, PlannedStep
from sections.settings import Settings
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid
from tests.checks.test_checks_bite import bar, block, doctored, measured

pytestmark = pytest.mark.xdist_group("pod")
HERE = Frame((0, 0, 0), (1, 0, 0), (0, 1, 0), (0, 0, 1))
SETTINGS = Settings.model_validate({"name": "any", "body": {"file": "any.stl", "units": "mm"}})


def bolts(pod, held):
    return [joint for joint in pod.plan.joints if joint.joint.kind == "bolt" and joint.joint.held == held]


def blocked(pod, part, joint):
    """What a section, as doctored, is in the way of at one joint: {what: mm3}."""
    things = near(list(brought_to_joint(joint)), part.id, part.mesh.bounds, present_at(pod.plan))
    findings, measures = check_brought(part, things, {joint.id})
    assert len(measures) == len(things)
    return {finding.text.split(" cannot")[0].removeprefix("the "): finding.measured for finding in findings}


def nut_side(joint):
    return "plus" if joint.joint.screw == "minus" else "minus"


class TestBrought:
    def test_all_of_the_pod(self, pod):
        """Every bolt has a way for its washers, nut, screw, key and socket; every pin and key for itself."""
        things = all_brought(pod.plan)
        kinds = {one.what for one in things}
        assert {"washer on the screw's side", "washer on the nut's side", "nut", "socket", "screw", "key"} <= kinds
        assert {"pin", "iron for the insert"} <= kinds
        present = present_at(pod.plan)
        for section in pod.plan.sections:
            part = pod.section(section.id)
            assert check_brought(part, near(things, part.id, part.mesh.bounds, present), set())[0] == []

    def test_a_nut_sealed_in(self, pod):
        """A plug 3 mm thick behind the nut, 20 mm off its flange: nut, washer and socket do not come in. Of the socket
        (8.8 wide, from memory) it takes 3 mm of its own round; the nut's corners reach 5.5 / cos 30."""
        joint = bolts(pod, "nut")[0]
        side = nut_side(joint)
        sign = -1 if side == "minus" else 1
        plug = bar(joint.frame, 8.0, *sorted((sign * 26.0, sign * 29.0)))
        found = blocked(pod, doctored(pod.section(getattr(joint, side)), add=[plug]), joint)
        assert {"nut", "washer on the nut's side", "socket"} <= found.keys()
        assert found["socket"] == pytest.approx(np.pi * 4.4**2 * 3.0, rel=0.01)
        assert found["nut"] == pytest.approx(np.pi * (5.5 / np.sqrt(3)) ** 2 * 3.0, rel=0.01)

    @pytest.mark.parametrize(("wide", "reported"), [(6.9, True), (7.1, False)])
    def test_a_way_as_wide_as_the_head_lets_no_washer_by(self, pod, wide, reported):
        """The way narrowed to 6.9 or 7.1 mm: a washer of M3 is 7 (ISO 7089)."""
        joint = bolts(pod, "nut")[0]
        sign = 1 if joint.joint.screw == "plus" else -1
        ends = sorted((sign * 7.0, sign * 9.0))
        collar = bar(joint.frame, 4.3, *ends).cut([bar(joint.frame, wide / 2, ends[0] - 1, ends[1] + 1, corners=256)])
        found = blocked(pod, doctored(pod.section(getattr(joint, joint.joint.screw)), add=[collar]), joint)
        assert ("washer on the screw's side" in found) == reported

    def test_a_neighbour_in_the_way(self, pod):
        """Something of a third section, there by then, behind the screw."""
        joint = bolts(pod, "nut")[0]
        others = sorted(present_at(pod.plan)[joint.pair] - {joint.minus, joint.plus})
        if not others:
            joint = next(j for j in bolts(pod, "nut") if len(present_at(pod.plan)[j.pair]) > 2)
            others = sorted(present_at(pod.plan)[joint.pair] - {joint.minus, joint.plus})
        sign = 1 if joint.joint.screw == "plus" else -1
        beam = bar(joint.frame, 2.0, *sorted((sign * 20.0, sign * 22.0)))
        found = blocked(pod, doctored(pod.section(others[0]), add=[beam]), joint)
        assert "screw" in found

    def test_pin_that_cannot_be_put_in(self, pod):
        """A wart before the hole of a pin, 3 mm off the seam's face: pin, 4 wide, meets 3 mm of it."""
        joint = next(j for j in pod.plan.joints if j.joint.kind == "dowel" and not j.joint.slot)
        part = pod.section(joint.minus)
        found = blocked(pod, doctored(part, add=[bar(joint.frame, 3.0, 3.0, 6.0)]), joint)
        assert found["pin"] == pytest.approx(np.pi * 2.0**2 * 3.0, rel=0.01)

    def test_an_insert_whose_iron_meets_something(self, pod):
        """A bracket 30 mm before the mouth of a boss: the iron's body, 16 wide (common practice), is in its way."""
        boss = pod.plan.bosses[0]
        part = pod.section(boss.section)
        shelf = block(boss.frame, (-30, -30, 30), (30, 30, 32))
        things = list(brought_to_boss(boss))
        assert check_brought(part, things, {boss.id})[0] == []
        findings = check_brought(doctored(part, add=[shelf]), things, {boss.id})[0]
        assert [f.code for f in findings] == ["blocked"]
        assert findings[0].measured == pytest.approx(np.pi * 8.0**2 * 2.0, rel=0.01)

    def test_who_is_there(self, pod):
        """Of the first step's pairs the two sections alone are there; of the last's, all of the body."""
        present = present_at(pod.plan)
        first, last = pod.plan.assembly[0], pod.plan.assembly[-1]
        of = {step.seam: [p for p in pod.plan.pairs if p.seam == step.seam] for step in (first, last)}
        pair = next(p for p in of[first.seam] if {p.minus, p.plus} == {*first.moved, *first.onto})
        assert present[pair.id] == {pair.minus, pair.plus}
        assert {len(present[p.id]) for p in of[last.seam]} == {len(pod.plan.sections)}


class TestHands:
    def hands(self, walls, places):
        return Hands(MeshDistance(join([wall.mesh() for wall in walls])), np.array(places, float))

    def joint(self):
        bolt = next(b for b in Bolt.choices(SETTINGS) if b.held == "nut")
        return PlannedJoint("z1:a+b:bolt1", "z1:a+b", "a", "b", HERE, bolt)

    def test_in_the_open_and_in_a_slot(self):
        """A hand on either side of the seam turns key and socket. Walls 16 mm off the axis on both sides of the plus
        side leave the nut's handle, 56 mm long, no swing of 60 deg: only the socket is reported."""
        floor = PrintSolid.box(np.array([-300, -300, -300]), np.array([300, -290, 300]))
        places = [(0, 90, -40), (0, 90, 40)]
        found, read = check_hands(self.joint(), self.hands([floor], places))
        assert found == [] and [m.value for m in read] == [1.0, 1.0]
        slot = [PrintSolid.box(np.array([x, -300, 6]), np.array([x + 4, 300, 300])) for x in (-20, 16)]
        found, _ = check_hands(self.joint(), self.hands([floor, *slot], places))
        assert [f.code for f in found] == ["out-of-reach"] and "socket" in found[0].text

    def test_nobody_inside(self):
        found, _ = check_hands(self.joint(), self.hands([PrintSolid.box(np.zeros(3), np.ones(3))], [(0, 900, 0)]))
        assert len(found) == 2

    def test_the_pod_as_built_and_with_its_floor_closed(self, pod):
        """The last seam's bolts are reached through the floor; once a plate closes that, none is."""
        ids = [section.id for section in pod.plan.sections]
        meshes = [pod.section(i).mesh for i in ids]
        last = pod.plan.assembly[-1].seam
        pairs = {pair.id for pair in pod.plan.pairs if pair.seam == last}
        joints = [joint for joint in pod.plan.joints if joint.pair in pairs and joint.joint.kind == "bolt"]
        assert joints
        lid = PrintSolid.box(np.array([20.0, -110, 2]), np.array([400.0, 110, 6])).mesh()
        for more, reached in ((), True), ((lid,), False):
            all_ = join([*meshes, *more])
            space = hand_space(in_the_way(all_))
            hands = Hands(MeshDistance(all_), space.places(all_.bounds))
            reported = [finding for joint in joints for finding in check_hands(joint, hands)[0]]
            assert (reported == []) == reached


class TestSteps:
    step = PlannedStep("z1", (0.0, 0.0, -1.0), ("up",), ("low",))

    def parts(self, pod, hook):
        """Two blocks on one another; a hook of the upper one reaches `hook` mm past the seam, and under a ledge."""
        some = pod.section(pod.plan.sections[0].id)
        low = PrintSolid.box(np.array([0, 0, -20.0]), np.array([40, 40, 0]))
        up = PrintSolid.box(np.array([0, 0, 0.0]), np.array([40, 40, 20]))
        if hook:
            up = up.unite([PrintSolid.box(np.array([10, 10, -10.0]), np.array([14, 30, 0]))])
            up = up.unite([PrintSolid.box(np.array([10, 10, -10.0]), np.array([10 + hook, 30, -8]))])
            low = low.cut([PrintSolid.box(np.array([9.5, 9.5, -10.5]), np.array([14.5, 30.5, 1]))])
            low = low.cut([PrintSolid.box(np.array([9.5, 9.5, -10.5]), np.array([10.5 + hook, 30.5, -7.5]))])
        made = [replace(some, planned=replace(some.planned, id=name, pose=HERE), printed=solid.mesh())
                for name, solid in (("up", up), ("low", low))]  # fmt: skip
        return made

    @pytest.mark.parametrize(("hook", "found"), [(0, []), (4, []), (9, ["blocked"])])
    def test_a_hook_that_does_not_go_in(self, pod, hook, found):
        """A peg 10 mm long goes in; with a foot 5 mm longer than itself it does not, though it lies free in its place.
        Lifted by 1 mm, 0.5 of it free, the foot's overhang, 4.5 past what is cut free for the peg, meets the ledge over
        its 20 mm: 45 mm3."""
        from sections.numbers.frame import Plane

        up, low = self.parts(pod, hook)
        way = np.array(self.step.direction)
        plane = Plane((0.0, 0.0, 1.0), 0.0)
        past = beyond_seam(up, plane, way, moved=True)
        assert past == pytest.approx(10.0 if hook else 0.0, abs=1e-9)
        assert beyond_seam(low, plane, way, moved=False) == pytest.approx(0.0, abs=1e-9)
        result = check_assembly_step("step 1", self.step, [up], [low], past)
        assert [f.code for f in result[0]] == found
        if found:
            assert measured(result, "step-blocked")[0] == pytest.approx(45.0, rel=1e-6)

    def test_a_panel_wider_inside_comes_out_no_way(self, pod):
        """A lid of 40 x 40 in a frame comes straight out; with a flange behind the frame it does not."""
        some = pod.section(pod.plan.sections[0].id)
        frame = PrintSolid.box(np.array([-40, -40, 0.0]), np.array([40, 40, 5]))
        frame = frame.cut([PrintSolid.box(np.array([-21, -21, -1.0]), np.array([21, 21, 6]))])
        lid = PrintSolid.box(np.array([-20, -20, 0.0]), np.array([20, 20, 5]))
        flange = PrintSolid.box(np.array([-25, -25, -5.0]), np.array([25, 25, -1]))
        for solid, found in ((lid, []), (lid.unite([flange]), ["blocked"])):
            parts = [replace(some, planned=replace(some.planned, id=name, pose=HERE), printed=one.mesh())
                     for name, one in (("lid", solid), ("frame", frame))]  # fmt: skip
            result = check_way_out("hatch", parts[:1], parts[1:], [np.array([0.0, 0.0, 1.0])])
            assert [f.code for f in result[0]] == found
