"""Does a section stand on the bed, by its layers as its file has them: what needs support, does it tip over?"""

from __future__ import annotations

import numpy as np

from sections.checks.built_parts import BodyTruth, BuiltSection, CheckRules
from sections.checks.finding import Finding, Measure, place
from sections.numbers.mesh import join
from sections.numbers.sampling import sample_surface
from sections.solids.layers import PrintLayers, layered
from sections.solids.print_solid import PrintSolid

# mm2; less to be supported is not worth a word: a printer bridges it, or it sags where nobody sees it.
_WORTH_SUPPORT = 100.0
# mm; a plate so near to a section sticks to it: nearer than its outlines can be printed apart. It leans on a wedge, or
# on what lies level below it, so near; the cosine that is level.
_STICKS, _LEANT_ON, _LEVEL = 0.12, 0.4, 0.7
# What is left of a foot's gap when files are rounded. mm2, of its surface, that holds. mm, that it may be off the bed.
_LEFT, _HELD, _ON_BED = 0.5, 10.0, 0.01
_PLACES, _SEED = 4000, 47
# Parts of its height by which a foot is looked at on its way off. mm3; less in the way is a touch.
_WAY_OFF, _FRAGMENT = np.array([0.1, 0.3, 0.6, 1.0]), 0.05


def check_standing(part: BuiltSection, truth: BodyTruth, rules: CheckRules) -> tuple[list[Finding], list[Measure]]:
    """Return a finding where a section tips over as it is printed, and a note where it needs support."""
    solid = PrintSolid.of(part.printed, part.id)
    layers = layered(solid, rules.settings.pose.bridge)
    stands = layers if part.foot is None else _with_foot(part, rules)
    height = float(part.printed.size[2])
    measures = [
        Measure("unsupported", part.id, layers.unsupported, "mm2"),
        Measure("bridged", part.id, layers.bridged, "mm2"),
        Measure("first-layer", part.id, layers.first, "mm2"),
        Measure("lean-alone", part.id, layers.lean, "mm"),
        Measure("lean", part.id, stands.lean, "mm"),
        Measure("height", part.id, height, "mm"),
    ]
    findings = []
    if layers.unsupported >= _WORTH_SUPPORT:
        where = place(part.planned.pose.to_world(layers.where[None])[0])
        text = f"hangs over with nothing within 45 deg below; {layers.bridged:.0f} mm2 more are bridged"
        findings.append(
            Finding("needs-support", "note", part.id, layers.unsupported, _WORTH_SUPPORT, "mm2", where, text)
        )
    if stands.lean > 0:
        where = place(part.planned.pose.to_world(layers.middle[None])[0])
        text = "its centre of mass comes to lie outside what it stands on as it is printed: it tips over"
        findings.append(Finding("tips", "fault", part.id, stands.lean, 0.0, "mm", where, text))
    if part.foot is not None:
        found, read = _foot(part, solid)
        findings, measures = findings + found, measures + read
    return findings, measures


def _with_foot(part: BuiltSection, rules: CheckRules) -> PrintLayers:
    return layered(PrintSolid.of(join([part.printed, part.foot]), part.id), rules.settings.pose.bridge)


def _foot(part: BuiltSection, section: PrintSolid) -> tuple[list[Finding], list[Measure]]:
    """Return what is wrong with a section's foot: it must come off, and till then hold the section and lie on the
    bed. section : as it is printed."""
    points, faces = sample_surface(part.foot, _PLACES, _SEED)
    beside = part.surface.unsigned(part.planned.pose.to_world(points))
    least = part.surface.unsigned(part.planned.pose.to_world(part.foot.vertices)).min(initial=beside.min())
    asked = part.planned.foot
    leant_on = (part.foot.normals[faces, 2] > _LEVEL) | (asked.wedge > 0)
    holds = beside < np.where(leant_on, _LEANT_ON, _STICKS)
    held = float(holds.mean() * part.foot.areas_mm2.sum())
    foot = PrintSolid.of(part.foot, part.id)
    low = float(part.printed.bounds[0, 2])
    off_bed = max((float(piece.bounds[0, 2]) - low for piece in foot.pieces()), key=abs)
    high = float(part.foot.size[2])
    blocked = max(section.common(foot.moved(np.array([0.0, 0.0, -off]))).volume_mm3 for off in high * _WAY_OFF)
    measures = [
        Measure("foot-gap", part.id, float(least), "mm"),
        Measure("foot-holds", part.id, held, "mm2"),
        Measure("foot-off-bed", part.id, off_bed, "mm"),
        Measure("foot-blocked", part.id, blocked, "mm3"),
    ]
    where, limit = place(part.planned.pose.to_world(points[beside.argmin()][None])[0]), _LEFT * asked.gap
    wrong = [
        (least < limit, float(least), limit, "mm", "its foot grows into it: it does not come off"),
        (held < _HELD, held, _HELD, "mm2", "its foot does not come near it: it holds nothing"),
        (blocked > _FRAGMENT, blocked, _FRAGMENT, "mm3", "its foot does not come straight off it, downward"),
        (abs(off_bed) > _ON_BED, off_bed, _ON_BED, "mm", "its foot does not lie on the bed"),
    ]
    findings = [
        Finding("foot", "fault", part.id, value, wanted, unit, where, text)
        for is_wrong, value, wanted, unit, text in wrong
        if is_wrong
    ]
    return findings, measures
