"""What is joined depends on what is there now: a search plans again and again in one scratch folder."""

from sections.body import load_body
from sections.planning.make_plan import make_plan
from sections.results.scratch import Scratch
from sections.settings import load_settings
from tests.shared import quiet_pool

TUBE = """
name = "tube"
[body]
script = "tube.py:body"
units = "mm"
[[openings]]
id = "end"
kind = "box"
low = [-10, -47.5, -90]
high = [20, 47.5, 90]
[seams]
planes = [{planes}]
"""


def test_hands_meet_the_flanges_of_this_plan(tmp_path):
    """A tube 115 wide, open at one end. Cut once, hands come to the seam through an opening 95 wide; with another seam
    on the way, between flanges 4 + 24 mm each, 59 are left, and a hand is 80 wide (common practice, no source). The
    same whether that plan is made first or second."""
    (tmp_path / "tube.py").write_text(
        "import cadquery as cq\n\n\ndef body():\n"
        "    return cq.Workplane().box(760, 115, 200, centered=(False, True, True))\n"
    )
    seam = '{{ id = "x{}", axis = "x", at = {}, bolted = "room" }}'
    bolts = {}
    for order in ((1, 2), (2, 1)):
        scratch = Scratch(tmp_path / f"{order[0]} first")
        scratch.folder.mkdir()
        for cuts in order:
            planes = [seam.format(1, 250), seam.format(2, 500)][-cuts:]
            (tmp_path / "tube.toml").write_text(TUBE.replace("{planes}", ", ".join(planes)))
            settings = load_settings(tmp_path / "tube.toml")
            plan = make_plan(settings, load_body(settings, tmp_path), scratch, quiet_pool()).plan
            far = [joint for joint in plan.joints if joint.id.startswith("x2:")]
            bolts[order, cuts] = sum(joint.joint.kind == "bolt" for joint in far)
    assert bolts[(1, 2), 1] == bolts[(2, 1), 1] > 0
    assert bolts[(1, 2), 2] == bolts[(2, 1), 2] == 0
