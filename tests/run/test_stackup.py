"""The stack-up of a built body: the pod, by the function and by the command."""

import json

import numpy as np
import pytest

from sections.errors import BadInput, OutputRefused
from sections.run.stacking import stack_up
from sections.stackup.ties import ties_of
from tests.shared import command, quiet_pool

# Built once, in one process.
pytestmark = pytest.mark.xdist_group("pod")


def stacked(pod, tmp_path, **table):
    """Return (report, stackup.json) of the pod with some of [stackup]; what a build is made from stays the same."""
    settings = pod.settings.model_copy(update={"stackup": pod.settings.stackup.model_copy(update=table)})
    target = tmp_path / "stackup"
    report = stack_up(settings, pod.folder, pod.out, target, quiet_pool())
    return report, json.loads((target / "stackup.json").read_text())


def farthest(data):
    """Return the sections, those first that are off by most in any direction."""
    most = {}
    for one in data["sections"]:
        most[one["section"]] = max(most.get(one["section"], 0.0), one["usual"])
    return sorted(most, key=lambda section: -most[section])


def test_every_section(pod, tmp_path):
    """From the section most in the middle: every section has its sums, the worst case over the root sum of squares;
    what Monte Carlo makes of the worst is within four standard errors of 400 trials."""
    report, data = stacked(pod, tmp_path)
    assert {one["section"] for one in data["sections"]} == {section.id for section in pod.plan.sections}
    assert all(one["worst"] > one["usual"] > 0 for one in data["sections"])
    assert data["monte_carlo"] == pytest.approx(data["by_sum"], rel=4 / np.sqrt(800))
    assert not data["jig"] and len(data["held"]) == 1
    assert farthest(data)[-1] == data["held"][0]
    assert [one.code for one in report.findings if one.level == "fault"] == []
    page = (tmp_path / "stackup" / "stackup.html").read_text()
    assert 'src="stackup.png"' in page and (tmp_path / "stackup" / "stackup.png").stat().st_size > 8000


def test_the_datum_asked_for(pod, tmp_path):
    """It is off by what its own size and skin are, less than any other."""
    _, data = stacked(pod, tmp_path, datum="X1L")
    assert data["held"] == ["X1L"] and farthest(data)[-1] == "X1L"


@pytest.mark.parametrize(("part", "over"), [(0.99, True), (1.01, False)])
def test_limit(pod, tmp_path, part, over):
    """A limit just below what the worst section comes to names the section, and what halving buys; just above it
    is not."""
    _, data = stacked(pod, tmp_path)
    worst = data["sections"][0]
    report, _ = stacked(pod, tmp_path, limit=part * worst["usual"])
    reported = [one for one in report.findings if one.code == "stackup-usual"]
    assert bool(reported) == over
    if over:
        assert reported[0].part == worst["section"] and reported[0].measured == pytest.approx(worst["usual"])
        assert "halving takes off: " in reported[0].text and worst["largest"][0]["name"] in reported[0].text


def test_turn_on_pins(pod, tmp_path):
    """(c1 + c2) / 2 L: each pin lies in two holes 0.1 mm wider per side: 0.4 diametral, over the pins' spacing."""
    report, _ = stacked(pod, tmp_path)
    tilts = {one.part: one.value for one in report.measures if one.name == "pin-tilt"}
    assert set(tilts) == {pair.id for pair in pod.plan.pairs}
    for pair, tilt in tilts.items():
        first, second = (np.array(j.frame.origin) for j in pod.plan.joints_across(pair) if j.joint.kind == "dowel")
        assert np.tan(np.radians(tilt)) >= 0.4 / np.linalg.norm(first - second) * 0.999


def test_only_the_worst_case_is_over(pod, tmp_path):
    """Between the root sum of squares and the worst case it is reported, and no fault."""
    _, data = stacked(pod, tmp_path)
    most, worst = (max(one[kind] for one in data["sections"]) for kind in ("usual", "worst"))
    report, _ = stacked(pod, tmp_path, limit=(most + worst) / 2)
    reported = {one.code: one for one in report.findings}
    assert reported["stackup-worst"].level == "note" and "stackup-usual" not in reported
    assert reported["stackup-worst"].measured == pytest.approx(worst)


def test_a_panel_hangs_on_nothing(pod, tmp_path):
    """With the ties of one section's pairs gone it is reported, and left out of the sums."""
    from unittest import mock

    def without(plan, settings, contacts):
        return [tie for tie in ties_of(plan, settings, contacts) if "X1L" not in (tie.minus, tie.plus)]

    with mock.patch("sections.run.stacking.ties_of", without):
        report, data = stacked(pod, tmp_path)
    assert [one.part for one in report.findings if one.code == "stackup-apart"] == ["X1L"] == data["apart"]
    assert "X1L" not in {one["section"] for one in data["sections"]}


@pytest.mark.parametrize(("grade", "over"), [("f", True), ("v", False)])
def test_class_of_iso_2768(pod, tmp_path, grade, over):
    """The pod is 410 mm long: from its middle 200 mm, +-0.2 in class f, +-2.5 in class v."""
    report, _ = stacked(pod, tmp_path, tolerance_class=grade)
    assert bool([one for one in report.findings if one.code == "stackup-usual"]) == over


@pytest.mark.parametrize(("warmest", "near"), [(64.0, False), (66.0, True)])
def test_heat(pod, tmp_path, warmest, near):
    """PETG's glass transition is from 75 deg C on, and 10 K below it is reported."""
    report, data = stacked(pod, tmp_path, highest_temperature=warmest)
    assert bool([one for one in report.findings if one.code == "glass-transition"]) == near
    grown = next(one.value for one in report.measures if one.name == "growth")
    boxes = np.array([pod.section(section.id).mesh.bounds for section in pod.plan.sections])
    long = (boxes[:, 1].max(0) - boxes[:, 0].min(0)).max()
    assert grown == pytest.approx(long * 64e-6 * (warmest - 20))


def test_plastic_unknown(pod, tmp_path):
    """What nobody has reported is no zero."""
    settings = pod.settings.model_copy(update={"material": pod.settings.material.model_copy(update={"name": "XYZ"})})
    from sections.checks.stackup import check_heat
    from sections.stackup.growth import heat_of

    heat = heat_of(pod.plan, settings, np.array([[0.0, 0, 0], [400.0, 100, 100]]))
    findings, measures = check_heat(heat, settings)
    assert [one.level for one in findings] == ["unmeasured", "unmeasured"] and measures == []
    assert "material.expansion" in findings[0].text and "material.glass_transition" in findings[1].text


def test_no_such_datum(pod, tmp_path):
    with pytest.raises(BadInput, match="stackup.datum"):
        stacked(pod, tmp_path, datum="X9R")
    assert not (tmp_path / "stackup").exists()


def test_a_build_of_other_parameters(pod, tmp_path):
    """What was built from other parameters is not what is asked about."""
    settings = pod.settings.model_copy(update={"wall": pod.settings.wall.model_copy(update={"thickness": 3.0})})
    with pytest.raises(OutputRefused, match="not a whole build of these parameters"):
        stack_up(settings, pod.folder, pod.out, tmp_path / "stackup", quiet_pool())


def test_by_the_real_command(pod_folder):
    """Nothing built: said, nothing written."""
    code, _, error = command("stackup", pod_folder / "pod.toml", "--out", pod_folder / "out")
    assert code == 3 and "build first" in error and "Traceback" not in error
    assert not (pod_folder / "out").exists()
