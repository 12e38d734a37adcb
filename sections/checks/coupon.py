"""Test prints as built: sound, as large as designed, every hole of the width it is marked with."""

from __future__ import annotations

import numpy as np

from sections.checks.finding import Finding, Measure
from sections.checks.seam_face import FaceHoles
from sections.coupons import Coupon
from sections.numbers.frame import Plane
from sections.numbers.mesh import Mesh
from sections.solids.planar import face_on_plane
from sections.solids.soundness import solid_flaws

# mm; how far a hole of a test print may be off: less than half of a ladder's step, both sides together.
_WIDTH = 0.03
# How far the volume read back may be off the exact solid's, as a part of it.
_VOLUME = 2e-3
_ON_TOP = 1e-3


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
        measures.append(Measure("coupon-hole", name, width, "mm"))
        if abs(width - hole.across) > _WIDTH:
            text = f"{width:.3f} mm across, {hole.across:.3f} asked"
            limit = hole.across + np.copysign(_WIDTH, width - hole.across)
            findings.append(Finding("coupon-hole", "fault", name, width, float(limit), "mm", None, text))
    return findings, measures
