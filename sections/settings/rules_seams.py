"""Contradictions in [seams]."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from sections.numbers.frame import Plane
from sections.settings.joints import SeamPlane
from sections.settings.model import Settings
from sections.settings.named import named_once
from sections.settings.places import given_once


def unit_normal(plane: SeamPlane) -> np.ndarray:
    """Return the plane's (3,) unit normal. A plane with an axis has that axis."""
    if plane.axis is not None:
        return np.eye(3)["xyz".index(plane.axis)]
    normal = np.asarray(plane.normal, float)
    return normal / np.linalg.norm(normal)


def seam_plane(given: SeamPlane) -> Plane:
    """Return the plane of a seam, on its own side of a symmetric body."""
    return Plane(tuple(float(c) for c in unit_normal(given)), float(given.at))


def _has_direction(plane: SeamPlane) -> bool:
    if (plane.axis is None) == (plane.normal is None):
        return False
    return plane.axis is not None or float(np.linalg.norm(plane.normal)) > 1e-9


def seams_have_one_direction(settings: Settings, folder: Path):
    """Each seam has an axis or a normal, and a name of its own."""
    names = (plane.id for plane in settings.seams.planes)
    yield from named_once(("seams", "planes"), names, fix="rename one of the two seams")
    for index, plane in enumerate(settings.seams.planes):
        key = ("seams", "planes", index)
        if (plane.axis is None) == (plane.normal is None):
            yield key, plane.id, "exactly one of `axis` and `normal`", "give one of the two"
        elif not _has_direction(plane):
            yield (*key, "normal"), str(plane.normal), "a direction", "give one that is not all zero"


def clear_places_have_one_middle(settings: Settings, folder: Path):
    """Each place that is kept clear of seams is given once."""
    for index, place in enumerate(settings.seams.clear):
        yield from given_once(("seams", "clear", index), "at", place.at, place.seen)


def seams_are_distinct(settings: Settings, folder: Path):
    """No two seams of one extent lie closer than their flanges are thick."""
    planes = [p for p in settings.seams.planes if _has_direction(p)]
    index_of = {id(p): i for i, p in enumerate(settings.seams.planes)}
    room = 2 * settings.flange.thickness
    for number, plane in enumerate(planes):
        for other in planes[:number]:
            same = float(unit_normal(plane) @ unit_normal(other))
            gap = abs(plane.at - np.sign(same) * other.at)
            if (
                abs(same) > 1 - 1e-9
                and gap < room
                and set(plane.within) == set(other.within)
                and plane.panel == other.panel
            ):
                key = ("seams", "planes", index_of[id(plane)], "at")
                limit = f"{room:g} mm or more from seam {other.id} (two flanges), now {gap:g}"
                yield key, f"{plane.at:g}", limit, f"move {plane.id} or {other.id}"


def seams_within_earlier_seams(settings: Settings, folder: Path):
    """A seam stops only at other seams, and none at one that stops at it."""
    names = [plane.id for plane in settings.seams.planes]
    ring = {plane.id for plane in _ordered(settings.seams.planes)[1]}
    for index, plane in enumerate(settings.seams.planes):
        for place, side in enumerate(plane.within):
            key = ("seams", "planes", index, "within", place)
            others = [name for name in names if name != plane.id]
            if side[1:] not in others:
                limit = f"a side of another seam: {', '.join(others) or 'there is none'}"
                yield key, repr(side), limit, "name one of those"
            elif plane.id in ring and side[1:] in ring:
                limit = f"a seam that does not itself stop at {plane.id}, or at one that does"
                yield key, repr(side), limit, "let one of the two run on"


def in_cutting_order(planes: list[SeamPlane]) -> list[SeamPlane]:
    """Return seams in the order they cut: each behind those it stops at, else as they stand in the file."""
    made, ring = _ordered(planes)
    return [*made, *ring]


def _ordered(planes: list[SeamPlane]) -> tuple[list[SeamPlane], list[SeamPlane]]:
    """Return (seams, each behind those it stops at; those left: they stop at one another in a ring, or at such)."""
    known, done, made = {plane.id for plane in planes}, set(), []
    waiting = list(planes)
    while True:
        ready = next((p for p in waiting if all(s[1:] in done or s[1:] not in known for s in p.within)), None)
        if ready is None:
            return made, waiting
        waiting.remove(ready)
        done.add(ready.id)
        made.append(ready)


def symmetric_seams_on_one_side(settings: Settings, folder: Path):
    """With body.symmetric the seams at y < 0 come by mirroring, so none is given there."""
    if not settings.body.symmetric:
        return
    for index, plane in enumerate(settings.seams.planes):
        if not _has_direction(plane):
            continue
        normal = unit_normal(plane)
        across = abs(normal[1]) > 1e-9
        if across and abs(normal[1]) > 1 - 1e-9 and plane.at * normal[1] < 0:
            key = ("seams", "planes", index, "at")
            limit = "y of 0 or more: body.symmetric mirrors the seams of the right side"
            yield key, f"{plane.at:g}", limit, f"give {abs(plane.at):g}, or set body.symmetric = false"
        if across and abs(normal[1]) < 1 - 1e-9 and normal[1] < 0:
            key = ("seams", "planes", index, "normal")
            limit = "a normal that points right (y > 0): body.symmetric mirrors the seam"
            yield key, str(plane.normal), limit, "turn the normal and `at` round"


def panel_seams_have_a_panel(settings: Settings, folder: Path):
    """A seam of a panel names an opening with one."""
    panels = [opening.id for opening in settings.openings if opening.panel is not None]
    for index, plane in enumerate(settings.seams.planes):
        if plane.panel is not None and plane.panel not in panels:
            limit = f"an opening with `panel`: {', '.join(panels) or 'there is none'}"
            yield ("seams", "planes", index, "panel"), repr(plane.panel), limit, "correct the name"
