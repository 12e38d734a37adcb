"""Test prints as built: sound, as large as designed, every hole of the width it is marked with."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import LineString

from sections.checks.finding import Finding, Measure, judge_span
from sections.checks.seam_face import FaceHoles
from sections.coupons import Coupon
from sections.numbers.frame import Frame, Plane
from sections.numbers.mesh import Mesh
from sections.solids.planar import face_on_plane
from sections.solids.print_solid import PrintSolid
from sections.solids.soundness import solid_flaws

# mm; how far a hole of a test print may be off: less than half of a ladder's step, both sides together.
_WIDTH = 0.03
# How far the volume read back may be off the exact solid's, as a part of it.
_VOLUME = 2e-3
_ON_TOP = 1e-3
# mm; how far past its ends a size is looked for.
_BEYOND = 3.0


def check_coupon(coupon: Coupon, mesh: Mesh) -> tuple[list[Finding], list[Measure]]:
    """Return what is wrong with a test print read back, and what was measured. mesh : in the coupon's own frame."""
    findings = [
        Finding("not-solid", "fault", coupon.id, float(flaw.count), 0.0, "", None, flaw.kind)
        for flaw in solid_flaws(mesh, 0.01)
    ]
    exact = coupon.solid.Volume()
    off = abs(mesh.volume_mm3 / exact - 1)
    measures = [Measure("coupon-volume", coupon.id, mesh.volume_mm3, "mm3")]
    if off > _VOLUME:
        text = f"{mesh.volume_mm3:.1f} mm3, exact {exact:.1f}"
        findings.append(Finding("coupon-volume", "fault", coupon.id, off, _VOLUME, "", None, text))
    plane = Plane((0.0, 0.0, 1.0), coupon.top)
    frame = plane.frame()
    holes = FaceHoles(face_on_plane(mesh, plane, frame, _ON_TOP))
    for hole in coupon.holes:
        name = f"{coupon.id}:{hole.name}"
        at = frame.to_local(np.array([[*hole.centre, coupon.top]]))[0, :2]
        found = holes.at(at)
        if found is None:
            findings.append(Finding("coupon-hole", "fault", name, None, None, "mm", None, "the hole is not there"))
            continue
        width = 2 * found.room(at)
        text = f"{width:.3f} mm across, {hole.across:.3f} asked"
        wrong, read = judge_span("coupon-hole", name, width, _about(hole.across), "mm", None, text)
        findings, measures = findings + wrong, measures + read
    found, read = _sizes(coupon, PrintSolid.of(mesh, coupon.id))
    return findings + found, measures + read


def _sizes(coupon: Coupon, solid: PrintSolid) -> tuple[list[Finding], list[Measure]]:
    """Return what callipers would find on a test print as read back, where it is not as drawn."""
    findings, measures = [], []
    for size in coupon.sizes:
        name = f"{coupon.id}:{size.id}"
        span = _span(solid, np.array(size.start), np.array(size.end))
        if span is None:
            text = "nothing to put callipers on"
            findings.append(Finding("coupon-size", "fault", name, None, None, "mm", size.start, text))
            continue
        text = f"{span:.3f} mm, {size.asked:.3f} asked"
        wrong, read = judge_span("coupon-size", name, span, _about(size.asked), "mm", size.start, text)
        findings, measures = findings + wrong, measures + read
    return findings, measures


def _about(asked: float) -> tuple[float, float]:
    """Return the least and the most that a width or length asked may come out as, mm."""
    return asked - _WIDTH, asked + _WIDTH


def _span(solid: PrintSolid, start: np.ndarray, end: np.ndarray) -> float | None:
    """Return the distance, mm, between the faces nearest to two places, along the line through both."""
    way = (end - start) / np.linalg.norm(end - start)
    aside = np.array([0.0, 0.0, 1.0]) if abs(way[2]) < 0.5 else np.array([1.0, 0.0, 0.0])
    frame = Frame(tuple(start), tuple(way), tuple(np.cross(aside, way)), tuple(aside))
    length = float(np.linalg.norm(end - start))
    line = LineString([(-_BEYOND, 0.0), (length + _BEYOND, 0.0)])
    crossed = shapely.get_coordinates(line.intersection(solid.section_at(frame).boundary))[:, 0]
    if not len(crossed):
        return None
    ends = [crossed[np.abs(crossed - at).argmin()] for at in (0.0, length)]
    return float(ends[1] - ends[0]) if ends[1] > ends[0] else None
