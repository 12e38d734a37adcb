"""The exact solids of the crate against its print files: each limit just met, and just not."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from sections.checks.exact_step import check_exact, check_kind
from sections.checks.same_solid import COMPARED, agreement
from sections.numbers.mesh import Mesh
from sections.solids.exact_solid import ExactSolid
from sections.solids.print_solid import PrintSolid
from sections.solids.step_read import closed_solids, read_step

pytestmark = pytest.mark.xdist_group("pod")


@pytest.fixture(scope="module")
def exact(crate):
    """(section as built, its STEP file's solid) for the first exact section."""
    part = next(part for part in crate.manifest.parts if part.kind == "section" and part.step == "exact")
    path = next(file.path for file in part.files if file.format == "step")
    return crate.section(part.id), ExactSolid.of(closed_solids(read_step(crate.out / path)[0], part.id))


def codes(result):
    return sorted({finding.code for finding in result[0]})


def test_all_of_the_crate_is_exact(crate):
    """All four sections, and nothing to fix."""
    assert [part.step for part in crate.manifest.parts if part.kind == "section"] == ["exact"] * 4
    assert {finding.code for finding in crate.report.findings} <= {"needs-support"}


def test_the_pod_is_not(pod):
    """A body that is round all about: tessellated, each with its reason in the manifest and a note in the report."""
    sections = [part for part in pod.manifest.parts if part.kind == "section"]
    assert {part.step for part in sections} == {"tessellated"}
    assert all("no height field" in part.step_why for part in sections)
    notes = {finding.part for finding in pod.report.findings if finding.code == "step-not-exact"}
    assert notes == {part.id for part in sections} and pod.report.to_fix == 0


def test_as_written(crate, exact):
    """One valid solid; walls by ray within 0.15 of the 4 asked; the skin is made of the body's own surfaces."""
    part, solid = exact
    assert solid.is_valid and len(solid.pieces()) == 1
    found, measures = check_exact(part, solid.mesh(COMPARED), crate.truth, crate.rules)
    assert found == []
    least = next(m.value for m in measures if m.name == "step-wall-ray-least")
    assert least > 4 - 0.15


@pytest.mark.parametrize("shift, wrong", [(0.05, False), (0.4, True)])
def test_moved(crate, exact, shift, wrong):
    part, solid = exact
    mesh = solid.mesh(COMPARED)
    moved = Mesh(mesh.vertices + [0, 0, shift], mesh.faces)
    found = codes(check_exact(part, moved, crate.truth, crate.rules))
    assert ("step-differs" in found) == ("step-skin" in found) == wrong


def test_a_bolt_hole_that_is_missing(crate, exact):
    """An M3 hole filled again: 9 mm2 on the seam are seen though the volumes agree to 0.01 mm."""
    part, solid = exact
    joint = next(j for j in crate.plan.joints_of(part.id) if j.joint.kind == "bolt")
    plane = next(seam.plane for seam in crate.plan.seams if seam.id == joint.pair.partition(":")[0])
    mesh = PrintSolid.of(solid.mesh(COMPARED))
    side = -1.0 if joint.minus == part.id else 1.0
    low, high = sorted((0.0, side * 3.0))
    plug = PrintSolid.prism(shapely.Point(0, 0).buffer(joint.joint.hole / 2 + 0.2), low, high).placed(joint.frame)
    filled = mesh.unite([plug]).mesh()
    found = agreement(filled, part.mesh, [plane])
    assert found.mean < 0.02 and found.seam > 4.0
    assert agreement(mesh.mesh(), part.mesh, [plane]).seam <= 4.0


def test_thin_wall(crate, exact):
    """The hollow carried 0.3 mm further: the wall is 3.7 and both checks say so."""
    part, solid = exact
    mesh = PrintSolid.of(solid.mesh(COMPARED))
    inward = np.array(part.planned.label_frame.z)
    thinner = mesh.common(mesh.moved(-0.3 * inward)).mesh()
    found = codes(check_exact(part, thinner, crate.truth, crate.rules))
    assert "step-wall" in found and "step-differs" in found


def test_skin_nobody_measured(crate, exact):
    """With no point of the body on the section, its skin is not called good: it is called unmeasured."""
    part, solid = exact
    elsewhere = replace(crate.truth, exact_points=crate.truth.exact_points + 1e4)
    assert "step-unmeasured" in codes(check_exact(part, solid.mesh(COMPARED), elsewhere, crate.rules))


def test_a_mark_that_is_missing(crate, exact):
    """Letters of 0.8 mm are further off than 0.5 mm, and missed where they are read on their own."""
    part, solid = exact
    frame, (width, height) = part.planned.label_frame, part.planned.label.size
    mesh = PrintSolid.of(solid.mesh(COMPARED))
    over = PrintSolid.prism(shapely.box(-width / 2, -height / 2, width / 2, height / 2), 0.02, 5).placed(frame)
    smooth = mesh.cut([over]).mesh()
    found, measures = check_exact(part, smooth, crate.truth, crate.rules)
    assert [finding.code for finding in found] == ["step-differs", "step-label"]
    assert next(m.value for m in measures if m.name == "step-label-relief") == pytest.approx(0.0, abs=0.05)


def test_kinds():
    assert check_kind("A", "exact", "") == []
    note, missing = check_kind("A", "tessellated", "no height field")[0], check_kind("A", "", "")[0]
    assert (note.code, note.level, note.text) == ("step-not-exact", "note", "no height field")
    assert (missing.code, missing.level) == ("step-missing", "fault")
