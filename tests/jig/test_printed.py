"""Parts of a jig parted for a bed: in pieces that fit, that make the part again, each joined to another."""

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import Polygon, box

from sections.errors import BadInput
from sections.features.dowel import Dowel
from sections.features.key import Key
from sections.jig.printed import Joints, pieces_of
from sections.jig.sheet_part import SheetPart, Slot
from sections.numbers.frame import make_frame
from sections.plan.pose import Bed

# The defaults: a dowel of 4 x 8 and 0.1 around it, a key of 20 x 5 x 4 and 0.2.
DOWEL = {"diameter": 4.0, "length": 8.0, "fit": 0.1, "end": 0.4, "travel": 1.0, "web": 1.6, "metal": False}
JOINTS = Joints(Dowel(slot=False, **DOWEL), Key(20.0, 5.0, 4.0, 5.0, 0.2, 0.4, 1.6, True), Dowel(slot=True, **DOWEL))
FRAME = make_frame(np.array([100.0, 20.0, -5.0]), np.column_stack([[0, 1.0, 0], [0, 0, 1], [1, 0, 0]]))


def part(outline, slots=()):
    return SheetPart("saddle-1", FRAME, 10.0, outline, (), slots)


def parted(outline, bed=(200.0, 200.0, 200.0), slots=()):
    return pieces_of(part(outline, slots), (Bed(bed, (5.0, 5.0)),), JOINTS)


def cradle(wide, high, base, arm):
    """A saddle: a base with an arm at each end."""
    return box(0, 0, wide, base) | box(0, 0, arm, high) | box(wide - arm, 0, wide, high)


def _ends(joint):
    """Where a dowel's hole ends on either side of its cut, 4.4 off it, in the part's x, y."""
    at, way = np.array(joint.frame.origin), np.array(joint.frame.z)
    return FRAME.to_local(np.array([at - 4.4 * way, at + 4.4 * way]))[:, :2]


def check(outline, pieces, butts, room):
    """Pieces make the outline, fit, and hold together; each joint has plastic around it in both of its pieces."""
    assert shapely.union_all([p.outline.buffer(1e-6) for p in pieces]).symmetric_difference(outline).area < 0.1
    assert sum(p.outline.area for p in pieces) == pytest.approx(outline.area)
    for piece in pieces:
        low_x, low_y, high_x, high_y = piece.outline.bounds
        assert all(np.sort([high_x - low_x, high_y - low_y]) <= np.sort(room) + 1e-6)
    joined = {pieces[0].id}
    for _ in pieces:
        for butt in butts:
            joined |= {butt.minus, butt.plus} if {butt.minus, butt.plus} & joined else set()
    assert joined == {p.id for p in pieces}
    by_id = {p.id: p.outline for p in pieces}
    holes = [(butt.id, shapely.LineString(_ends(joint)).buffer(2.1 + 1.0, cap_style="flat"))
             for butt in butts for joint in butt.joints if joint.joint.kind == "dowel"]  # fmt: skip
    for number, (name, hole) in enumerate(holes):
        assert all(hole.distance(other) >= 1.6 - 1e-6 for of, other in holes[number + 1 :] if of != name)
    for butt in butts:
        assert sorted(j.joint.kind for j in butt.joints) == ["dowel", "dowel", "key"]
        assert [j.joint.slot for j in butt.joints if j.joint.kind == "dowel"] == [False, True]
        for joint in butt.joints:
            at, way = FRAME.to_local(np.array([joint.frame.origin, np.add(joint.frame.origin, joint.frame.z)]))
            assert at[2] == pytest.approx(0.0), "in the middle of the thickness"
            for side, name in ((-1, butt.minus), (1, butt.plus)):
                behind = shapely.LineString([at[:2], at[:2] + side * 6.0 * (way - at)[:2]])
                assert by_id[name].buffer(1e-6).contains(behind), "as deep as the joint goes"


def test_a_rail():
    """1000 long, 100 high, slots 200 apart: 6 pieces of 167 for a bed of 200, no cut in a slot's way."""
    slots = tuple(Slot(x, 75.0, 101.0, 10.3) for x in (50.0, 250.0, 450.0, 650.0, 850.0))
    outline = box(0, 0, 1000, 100)
    for slot in slots:
        outline = outline - slot.cut(0.0)
    pieces, butts = parted(outline, slots=slots)
    check(outline, pieces, butts, (200, 200))
    assert len(pieces) == 6 and len(butts) == 5
    cuts = [FRAME.to_local(np.array([butt.joints[0].frame.origin]))[0, 0] for butt in butts]
    assert min(abs(cut - slot.middle) for cut in cuts for slot in slots) > 15


def test_a_saddle_with_tall_arms():
    """Its arms are cut across, not along: no piece has a strip left of another's height."""
    outline = cradle(900.0, 300.0, 90.0, 70.0)
    pieces, butts = parted(outline)
    check(outline, pieces, butts, (200, 200))
    for piece in pieces:
        thin = piece.outline.area - piece.outline.buffer(-14, join_style="mitre").buffer(14, join_style="mitre").area
        assert thin < 1.0


def test_what_fits_stays_whole():
    pieces, butts = parted(box(0, 0, 190, 120))
    assert [p.id for p in pieces] == ["saddle-1"] and butts == ()


def test_no_room_for_joints_is_reported():
    with pytest.raises(BadInput, match="saddle-1"):
        parted(box(0, 0, 1000, 40))


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.floats(150, 1200), st.floats(80, 420), st.floats(60, 140), st.floats(55, 120), st.floats(120, 400))
def test_random_saddles(wide, high, base, arm, bed):
    """Whatever is parted fits and holds together; what cannot be is refused, never half done."""
    outline = cradle(wide, max(high, base), base, min(arm, wide / 2))
    assert isinstance(outline, Polygon)
    try:
        pieces, butts = parted(outline, (bed, bed, 200.0))
    except BadInput as error:
        assert "jig.make" in str(error)
        return
    check(outline, pieces, butts, (bed, bed))
