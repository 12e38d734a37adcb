"""Seams as they stand on the body: mirrored where the body is symmetric, each with where it runs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sections.numbers.frame import Plane
from sections.settings import Settings
from sections.settings.joints import SeamPlane
from sections.settings.rules_seams import in_cutting_order, seam_plane


@dataclass(frozen=True)
class Seam:
    """One planar cut in place.

    id : the id given, with R or L behind it when it is one of a mirrored pair. given : the id in the file.
    within : the sides of earlier seams it is limited to, "+x1" or "-y2R". bolted : whether bolts draw it together;
    "room" where a bolt finds room. panel : the one it cuts alone, "" for a seam of the body.
    """

    id: str
    given: str
    plane: Plane
    within: tuple[str, ...]
    bolted: bool | str = True
    panel: str = ""

    @property
    def family(self) -> str:
        """The letter of its id; sections are named by the last seam of each family they lie beyond."""
        return self.given[0]


def resolve_seams(settings: Settings) -> tuple[Seam, ...]:
    """Return the seams of valid settings in the order they cut, left twins right behind right ones."""
    if not settings.body.symmetric:
        return tuple(
            Seam(p.id, p.id, seam_plane(p), tuple(p.within), p.bolted, p.panel or "")
            for p in in_cutting_order(settings.seams.planes)
        )
    kinds: dict[str, str] = {}
    made: list[Seam] = []
    for given in in_cutting_order(settings.seams.planes):
        plane = seam_plane(given)
        kind = _kind(given, plane, kinds)
        kinds[given.id] = kind
        if kind in ("sided", "paired"):
            right_within = tuple(_right_side(s, kinds) for s in given.within)
            right = _seam(given, f"{given.id}R", plane, right_within)
            left_within = tuple(mirrored_side(s, kinds) for s in right.within)
            made += [
                right,
                Seam(f"{given.id}L", given.id, plane.mirrored_y(), left_within, given.bolted, given.panel or ""),
            ]
        else:
            within = tuple(both for side in given.within for both in _both_sides(side, kinds))
            made.append(_seam(given, given.id, plane, within))
    return tuple(made)


def _seam(given: SeamPlane, name: str, plane: Plane, within: tuple[str, ...]) -> Seam:
    return Seam(name, given.id, plane, within, given.bolted, given.panel or "")


def seam_kinds(seams: tuple[Seam, ...]) -> dict[str, str]:
    """Return, for every id given, whether its seam is one of a pair ("sided"), the centre plane, or neither."""
    kinds = {}
    for seam in seams:
        is_pair = seam.id != seam.given
        is_centre = abs(seam.plane.normal[1]) > 1 - 1e-9 and abs(seam.plane.offset) < 1e-9
        kinds[seam.given] = "sided" if is_pair else "centre" if is_centre else "plain"
    return kinds


def mirrored_side(side: str, kinds: dict[str, str]) -> str:
    """Return the mirror image in y = 0 of a side such as "+x1", "-y2R" or "+y1" (y1 the centre plane)."""
    sign, name = side[0], side[1:]
    if name[-1] in "RL":
        return f"{sign}{name[:-1]}{'L' if name[-1] == 'R' else 'R'}"
    if kinds.get(name) == "centre":
        return f"{'-' if sign == '+' else '+'}{name}"
    return side


def _kind(given: SeamPlane, plane: Plane, kinds: dict[str, str]) -> str:
    """Return how a seam of a symmetric body is made: sided (a pair of planes), paired (one plane, two extents),
    centre (y = 0) or plain."""
    across = abs(plane.normal[1])
    if across > 1 - 1e-9 and abs(plane.offset) < 1e-9:
        return "centre"
    if across > 1e-9:
        return "sided"
    outboard = any(
        kinds[side[1:]] == "paired" or (side[0] == "+" and kinds[side[1:]] in ("sided", "centre"))
        for side in given.within
    )
    return "paired" if outboard else "plain"


def _right_side(side: str, kinds: dict[str, str]) -> str:
    return f"{side}R" if kinds[side[1:]] in ("sided", "paired") else side


def _both_sides(side: str, kinds: dict[str, str]) -> tuple[str, ...]:
    return (f"{side}R", f"{side}L") if kinds[side[1:]] == "sided" else (side,)


def is_parallel(one: Plane, two: Plane) -> bool:
    """Return whether two planes have the same direction."""
    return abs(float(np.dot(one.normal, two.normal))) > 1 - 1e-9
