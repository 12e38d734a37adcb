"""Every fastener is put in: screws, washers, nuts, inserts and their tools, as the standards have them, moved in
straight lines onto seats that are measured on the parts."""

from __future__ import annotations

import manifold3d as m3
import numpy as np

from .build import Build, Frame, Section, bar, box_of, hexagon, in_the_way
from .free import FreeSpace
from .report import Report
from .standard import FASTENERS, LENGTHS, SOCKET_LENGTH, Fastener

# mm3; less in the way is a touch.
CRUMB = 0.05
# mm; nothing is put nearer to its seat than this, for the seat's own facets and rounding.
_OFF = 0.02
# mm; how much further than its own length a thing is brought.
_FURTHER = 1.0
# mm; how flat a washer's seat is.
_FLAT = 0.1
# Directions in which a handle is tried; so many in a row are a sixth of a turn.
_WAYS, _SIXTH = 24, 5
# mm; thickness of a socket's handle.
_HANDLE = 10.0
# mm; by how much less or more than its maker says a hole for an insert may be wide, across half of it.
_NARROWER, _WIDER = 0.03, 0.12


def inspect_bolts(build: Build, report: Report) -> None:
    """Put every bolt of the plan in."""
    space = FreeSpace(build)
    pairs = {pair["id"]: pair for pair in build.plan["pairs"]}
    together = {name: build.together(pair) for name, pair in pairs.items()}
    for joint in build.plan["joints"]:
        if joint["joint"]["kind"] == "bolt":
            _bolt(build, joint, together[joint["pair"]], space, report)


def _bolt(build: Build, joint: dict, there: set[str], space: FreeSpace, report: Report) -> None:
    bolt, size, frame = joint["joint"], FASTENERS[joint["joint"]["size"]], Frame.of(joint["frame"])
    near = build.near(frame.origin - 90, frame.origin + 90, there)
    near_side = bolt["screw"]
    far_side = "plus" if near_side == "minus" else "minus"
    head = _Side(frame, -1 if near_side == "minus" else 1, build.sections[joint[near_side]])
    foot = _Side(frame, -1 if far_side == "minus" else 1, build.sections[joint[far_side]])
    seat = _seat(head, size, "head", joint["id"], report)
    if seat is None:
        return
    length = float(bolt["length"])
    report.judge(length in LENGTHS, "screw-length", joint["id"], f"no screw is made {length} long")
    top = seat + size.washer_thickness
    things = [
        ("washer", bar(size.washer / 2, seat + _OFF, top + length + size.head_height)),
        ("screw's head", bar(size.head / 2, top, top + length + size.head_height + _FURTHER)),
        ("screw", bar(size.thread / 2, top - length, top + length)),
    ]
    for what, solid in things:
        _way(joint["id"], what, head.place(solid), near, report)
    _turned(joint["id"], head, top + size.head_height - size.key_depth, size, near, report)
    out = [head.at(top + length)]
    if bolt["held"] == "nut":
        out.append(_nut(joint["id"], foot, size, length - top, near, report))
    else:
        _insert(joint["id"], foot, bolt["size"], length - top, float(bolt["insert"]), report)
    for place in out:
        ok = place is None or space.is_reached(place, there)
        report.judge(ok, "fingers", joint["id"], "no fingers get to where it is held on its way in")


class _Side:
    """One side of a bolt: its own z leads away from the seam, into the section there."""

    def __init__(self, frame: Frame, sign: int, section: Section):
        axes = frame.axes * np.array([1, sign, sign])[:, None]
        self.frame, self.section = Frame(frame.origin, axes), section

    def place(self, solid):
        return self.frame.place(solid)

    def at(self, height: float) -> np.ndarray:
        return self.frame.out([[0, 0, height]])[0]

    def exits(self, radius: float, start: float, end: float, count: int = 16) -> list[float]:
        """Return how far from the seam rays along z, on a circle, first leave the section; nan where one is not in
        it."""
        turns = 2 * np.pi * np.arange(count) / count
        found = []
        for x, y in zip(radius * np.cos(turns), radius * np.sin(turns), strict=True):
            one, other = self.frame.out([[x, y, start], [x, y, end]])
            hits = self.section.solid.ray_cast(tuple(one), tuple(other))
            leaves = hits and np.dot(hits[0].normal, other - one) > 0
            found.append(start + hits[0].distance * (end - start) if leaves else np.nan)
        return found


def _seat(side: _Side, size: Fastener, what: str, bolt_id: str, report: Report) -> float | None:
    """Return how far from the seam a washer rests, on a ring between its hole and its edge."""
    rings = [side.exits(radius, _OFF, 40.0) for radius in (size.thread * 0.62, size.washer / 2 - 0.1)]
    levels = np.concatenate(rings)
    if np.isnan(levels).any():
        report.judge(False, "seat", bolt_id, f"no seat for the {what}'s washer all round")
        return None
    flat = float(np.ptp(levels))
    report.measure("seat-flat", flat)
    report.judge(flat < _FLAT, "seat", bolt_id, f"the seat of the {what}'s washer is {flat:.2f} off flat")
    return float(levels.max())


def _way(bolt_id: str, what: str, solid, near: list[Section], report: Report) -> None:
    low, high = box_of(solid)
    close = [one for one in near if (one.box[0] < high).all() and (one.box[1] > low).all()]
    blocked, by = in_the_way(solid, close)
    report.judge(blocked <= CRUMB, "way-in", bolt_id, f"{what} passes through {blocked:.2f} mm3 of {by}")


def _nut(bolt_id: str, side: _Side, size: Fastener, left: float, near, report: Report) -> np.ndarray | None:
    """Put a washer, a nut and a socket on. left : how much of the screw is beyond the seam. Return where it ends."""
    seat = _seat(side, size, "nut", bolt_id, report)
    if seat is None:
        return None
    top = seat + size.washer_thickness
    past = left - top - size.nut_height
    report.measure("past-nut", past)
    report.judge(past >= 2 * size.pitch - 1e-6, "threads", bolt_id, f"its screw stands {past:.2f} out of the nut")
    end = top + size.nut_height
    _way(bolt_id, "nut's washer", side.place(bar(size.washer / 2, seat + _OFF, end + max(past, 0) + 5)), near, report)
    nut = hexagon(size.flats, top, end + max(past, 0) + size.nut_height + _FURTHER)
    turns = [nut.rotate((0, 0, turn)) for turn in (0, 15, 30, 45)]
    least = min(in_the_way(side.place(one), near)[0] for one in turns)
    report.judge(least <= CRUMB, "way-in", bolt_id, f"nut passes through {least:.2f} mm3")
    socket = bar(size.socket / 2, top + 0.2, top + SOCKET_LENGTH)
    _way(bolt_id, "socket", side.place(socket), near, report)
    free = _swings(side, top + SOCKET_LENGTH + _HANDLE / 2, _HANDLE, size.long_arm, near)
    report.judge(free, "turned", bolt_id, "its socket's handle does not swing a sixth of a turn")
    return side.at(top + SOCKET_LENGTH)


def _insert(bolt_id: str, side: _Side, name: str, left: float, insert: float, report: Report) -> None:
    """Look at an insert's hole: as wide as it asks, deep enough for the screw's tip, free before its seam."""
    size, hole = FASTENERS[name], FASTENERS[name].insert_hole / 2
    alone = [side.section]
    tight = in_the_way(side.place(bar(hole - _NARROWER, _OFF, insert)), alone)[0]
    shell = bar(hole + _WIDER, 0.5, insert)
    round_ = in_the_way(side.place(shell), alone)[0]
    ring = np.pi * ((hole + _WIDER) ** 2 - hole**2) * (insert - 0.5)
    ok = tight <= CRUMB and round_ > 0.5 * ring
    report.judge(
        ok, "insert-hole", bolt_id, f"{tight:.2f} mm3 in the insert's way, {round_:.2f} of {ring:.2f} about it"
    )
    report.judge(left >= insert - 1e-6, "threads", bolt_id, f"its screw goes {left:.2f} into an insert of {insert}")
    tip = in_the_way(side.place(bar(size.thread / 2, _OFF, left + size.pitch)), alone)[0]
    report.judge(tip <= CRUMB, "threads", bolt_id, f"its screw bottoms: {tip:.2f} mm3 in the way of its tip")
    iron = side.place(bar(size.iron / 2, -40.0, -_OFF))
    blocked = in_the_way(iron, alone)[0]
    report.judge(blocked <= CRUMB, "way-in", bolt_id, f"the iron for its insert passes through {blocked:.2f} mm3")


def _turned(bolt_id: str, side: _Side, bottom: float, size: Fastener, near, report: Report) -> None:
    """Put the short arm of a key in, and swing the long one."""
    elbow = bottom + size.short_arm
    arm = side.place(hexagon(size.key, bottom + size.key_depth + 0.1, elbow))
    _way(bolt_id, "key", arm, near, report)
    free = _swings(side, elbow - size.key / 2, size.key, size.long_arm, near)
    report.judge(free, "turned", bolt_id, "its key does not swing a sixth of a turn")


def _swings(side: _Side, height: float, thick: float, long: float, near) -> bool:
    """Return whether a handle at a height swings through a sixth of a turn somewhere."""
    free = []
    handle = m3.Manifold.cube((long, thick, thick)).translate((0, -thick / 2, height - thick / 2))
    for way in range(_WAYS):
        solid = side.place(handle.rotate((0, 0, 360 / _WAYS * way)))
        free.append(in_the_way(solid, near)[0] <= CRUMB)
    return any(all(free[(start + n) % _WAYS] for n in range(_SIXTH)) for start in range(_WAYS))


def inspect_bosses(build: Build, report: Report) -> None:
    """Bring an iron to every insert, and slide a nut and its washer into every channel."""
    for row in build.plan["bosses"]:
        frame, boss, section = Frame.of(row["frame"]), row["boss"], build.sections[row["section"]]
        name, what = boss["takes"].split(" ", 1)
        size = FASTENERS[name]
        if what.startswith("insert"):
            hole = size.insert_hole / 2
            tight = in_the_way(frame.place(bar(hole - _NARROWER, -boss["depth"] + 0.1, 0.0)), [section])[0]
            report.judge(tight <= CRUMB, "boss", row["id"], f"{tight:.2f} mm3 in its insert's way")
            iron = frame.place(bar(size.iron / 2, _OFF, 60.0))
            blocked = in_the_way(iron, [section])[0]
            report.judge(blocked <= CRUMB, "boss", row["id"], f"its iron passes through {blocked:.2f} mm3")
            continue
        blocked = min(_slid(frame, boss, size, way, section) for way in range(0, 360, 5))
        report.judge(blocked <= CRUMB, "boss", row["id"], f"nut and washer pass through {blocked:.2f} mm3, any way")


def _slid(frame: Frame, boss: dict, size: Fastener, way: float, section: Section) -> float:
    """Return what is in the way, mm3, of a nut and washer slid in square to the bolt from one side, under the lip, and
    of the bolt."""
    lip = boss["channel"]["lip"]
    across = np.array([np.cos(np.radians(way)), np.sin(np.radians(way)), 0.0]) * 60.0
    found = 0.0
    deep = lip + size.washer_thickness
    for solid in (
        bar(size.washer / 2, -deep - 0.05, -lip - 0.05),
        hexagon(size.flats, -deep - size.nut_height - 0.1, -deep - 0.1).rotate((0, 0, way)),
    ):
        swept = m3.Manifold.batch_hull([solid, solid.translate(tuple(across))])
        found = max(found, in_the_way(frame.place(swept), [section])[0])
    bolt = frame.place(bar(size.thread / 2, -deep - size.nut_height - 2 * size.pitch, 40.0))
    return max(found, in_the_way(bolt, [section])[0])


def inspect_pins(build: Build, report: Report) -> None:
    """Put every pin and key into either section alone, straight from the seam, and push it sideways."""
    for joint in build.plan["joints"]:
        kind = joint["joint"]["kind"]
        if kind not in build.loose:
            continue
        frame, loose = Frame.of(joint["frame"]), build.loose[kind]
        for side, sign in (("minus", 1), ("plus", -1)):
            section = build.sections[joint[side]]
            swept = m3.Manifold.batch_hull([loose, loose.translate((0, 0, 30.0 * sign))])
            blocked = in_the_way(frame.place(swept), [section])[0]
            text = f"{kind} passes through {blocked:.2f} mm3 of {joint[side]}"
            report.judge(blocked <= CRUMB, "pin", joint["id"], text)
            # Across a slot, which runs along x.
            held = [in_the_way(frame.place(loose.translate((0, off, 0))), [section])[0] for off in (-1.0, 1.0)]
            report.judge(min(held) > CRUMB, "pin", joint["id"], f"{kind} is not held by {joint[side]}")
