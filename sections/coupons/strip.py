"""Strips: one that lies flat, fins that lean, and letters on an upright wall."""

from __future__ import annotations

import math

from sections.coupons.bars import upright
from sections.coupons.coupon import Coupon, Trial, block, less, moved, on_front, stroke_of, sunk_text, text_solids
from sections.features.letters import text_width
from sections.features.shapes import united
from sections.plan.pose import beds_of
from sections.settings import Settings

# mm
_LONG, _WIDE, _THICK, _PART_OF_BED = 150.0, 8.0, 2.4, 0.6
# deg from upright; fins lean by the flange's own overhang and so much less and more. mm; fins and their foot.
_LEAN = (-5.0, 0.0, 5.0, 10.0)
_FIN_THICK, _FIN_LONG, _FIN_WIDE, _FOOT = 2.4, 14.0, 10.0, 2.0
# Letters tried, as parts of the label's own height; mm, the wall they stand on.
_PARTS = (1.25, 1.0, 0.75)
_BACK, _EDGE = 2.4, 2.0


def flat_strip(settings: Settings) -> Coupon:
    """Return a long strip that shows how far its ends lift."""
    long = min(_LONG, _PART_OF_BED * min(min(bed.room[:2]) for bed in beds_of(settings)))
    mark = sunk_text("FLAT", (long / 2, 0.0), 4.0, stroke_of(settings))
    use = "lay it on glass, press one end down: the gap under the other by feeler gauges"
    return Coupon("coupon-flat", less(block(long, _WIDE, _THICK), mark), 0.0, (), use, lifts=True)


def overhang_fins(settings: Settings) -> Coupon:
    """Return fins that lean by the overhang of the flange's back, and by less and more, on one foot."""
    angles = [90.0 - settings.flange.back_angle + lean for lean in _LEAN]
    angles = [angle for angle in angles if 0 < angle <= 80]
    pitch = _FIN_WIDE + 2.0
    deep = max(8.0, _FIN_THICK + 4)
    foot = moved(block(pitch * len(angles), deep, _FOOT), 0, deep / 2 - 1.0)
    fins, marks = [], []
    for number, angle in enumerate(angles):
        lean, rise = math.sin(math.radians(angle)), math.cos(math.radians(angle))
        thick = _FIN_THICK / rise
        # In y, z: up from the foot, leaning toward -y.
        outline = [(0, -1), (thick, -1), (thick, 0), (thick - _FIN_LONG * lean, _FIN_LONG * rise),
                   (-_FIN_LONG * lean, _FIN_LONG * rise), (0, 0)]  # fmt: skip
        left = pitch * number + 1.0
        fins.append(_sheared(outline, left, left + _FIN_WIDE))
        marks += sunk_text(f"{angle:g}", (left + _FIN_WIDE / 2, deep - 4.0), 3.6, stroke_of(settings))
    solid = less(united(foot, *fins), marks)
    top = _FIN_LONG * max(math.cos(math.radians(angle)) for angle in angles)
    use = "look at the undersides: say the largest angle from upright that is clean"
    trial = Trial("overhang", "largest angle, deg from upright, whose underside is clean", tuple(angles))
    return Coupon("coupon-overhang", solid, top, (), use, trials=(trial,))


def _sheared(outline: list[tuple[float, float]], left: float, right: float):
    """Return a solid of an outline in y, z from x = left to right."""
    import cadquery as cq

    return cq.Workplane("YZ", origin=(left, 0, 0)).polyline(outline).close().extrude(right - left).val()


def label_strip(settings: Settings) -> Coupon:
    """Return letters as sections are marked with, on an upright wall, of the label's height and more and less."""
    label = settings.label
    heights = [round(label.height * part, 1) for part in _PARTS]
    words = [f"X{index}A" for index in range(1, len(heights) + 1)]
    widths = [text_width(word, height, label.stroke) for word, height in zip(words, heights, strict=True)]
    room = min(min(bed.room[:2]) for bed in beds_of(settings))
    while len(words) > 1 and sum(widths) + _EDGE * (len(words) + 1) > room:
        words, heights, widths = words[1:], heights[1:], widths[1:]
    high = max(heights) + 2 * _EDGE
    solid = upright([(0, 0), (sum(widths) + _EDGE * (len(words) + 1), 0),
                     (sum(widths) + _EDGE * (len(words) + 1), high), (0, high)], _BACK, -high)  # fmt: skip
    left, letters = _EDGE, []
    for word, height, width in zip(words, heights, widths, strict=True):
        flat = text_solids(word, (0.0, 0.0), height, label.stroke, -0.5, label.relief)
        letters += on_front(flat, -_BACK / 2, (left + width / 2, -high / 2))
        left += width + _EDGE
    use = "read it at arm's length: say the lowest letters that are plain, mm: " + ", ".join(f"{h:g}" for h in heights)
    trial = Trial("label", "lowest letters that are plain, mm", tuple(heights))
    return Coupon("coupon-label", united(solid, *letters), 0.0, (), use, trials=(trial,))
