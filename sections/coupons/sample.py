"""Samples: a seam in small, and a piece of wall with a flange on it."""

from __future__ import annotations

import math

from sections.coupons.bars import upright
from sections.coupons.coupon import Coupon, Size, block, less, moved, on_front, stroke_of, sunk_text
from sections.features import JointSet
from sections.features.shapes import united
from sections.settings import Settings
from sections.settings.joint_line import flange_reach

_GAP = 4.0
# mm; the strip of wall: its width, and the plain wall below the flange's slope.
_LONG, _FREE = 16.0, 12.0


def seam_samples(settings: Settings) -> tuple[Coupon, Coupon]:
    """Return two flanges flat on the bed with every kind of joint between them; the plus one lies face up too."""
    joints = JointSet.of(settings).one_of_each
    flange = settings.flange
    places, x = [], _GAP
    for joint in joints:
        places.append(x + joint.half_length)
        x += 2 * joint.half_length + _GAP
    made = []
    for side in ("minus", "plus"):
        plate = block(x, flange.height, flange.thickness)
        placed = [
            (tool.action, moved(_face_up(tool.solid, side), at))
            for joint, at in zip(joints, places, strict=True)
            for tool in joint.tools()
            if tool.side == side
        ]
        letter = "A" if side == "minus" else "B"
        mark = sunk_text(letter, (x / 2, -flange.height / 2 + 4), 5.0, stroke_of(settings))
        solid = less(plate, [tool for action, tool in placed if action == "cut"] + mark)
        tongues = [tool for action, tool in placed if action == "add"]
        solid = united(solid, *tongues) if tongues else solid
        use = (
            "Print both, put dowels and key in, bolt A to B: they close without a gap, as easily as the fits asked say."
        )
        made.append(Coupon(f"coupon-seam-{letter.lower()}", solid, 0.0, (), use))
    return made[0], made[1]


def wall_sample(settings: Settings) -> Coupon:
    """Return a strip of wall that stands with a flange on top, the sloped underside in the air."""
    wall, flange = settings.wall.thickness, settings.flange
    reach = flange_reach(settings)
    long = reach + max(_FREE, 2 * wall)
    outline = [
        (0, long), (flange.height, long), (flange.height, long - flange.thickness), (wall, long - reach),
        (wall, 0), (0, 0),
    ]  # fmt: skip
    solid = upright(outline, _LONG, -long)
    low, end = -long + min(5.0, 0.4 * (long - reach)), flange.height - 0.5
    thick = flange.thickness + 0.5 * math.tan(math.radians(flange.back_angle))
    sizes = (
        Size("wall", "thickness", (0.0, 0.0, low), (wall, 0.0, low)),
        Size("flange", "thickness", (end, 0.0, -thick), (end, 0.0, 0.0)),
    )
    mark = on_front(sunk_text("WALL", (0.0, 0.0), 3.0, stroke_of(settings)), -_LONG / 2, (flange.height / 2 + 2, -3.5))
    use = "print as it lies, the flange on top; callipers on the wall near its foot and on the flange's very edge"
    return Coupon("coupon-wall", less(solid, mark), 0.0, (), use, sizes)


def _face_up(solid, side: str):
    """Return a joint's tool with the flange it cuts below z = 0: the plus side is turned over about x."""
    import cadquery as cq

    if side == "minus":
        return solid
    return solid.moved(cq.Location(cq.Vector(0, 0, 0), cq.Vector(1, 0, 0), 180.0))
