"""Found cuts as seams of the parameter file: each with a name of its own and where it runs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from string import ascii_lowercase

import numpy as np

from sections.numbers.frame import Plane
from sections.seaming.search import Node
from sections.settings.joints import SeamPlane

# Decimals written: of a place, mm, and of a direction.
_PLACE, _DIRECTION = 1, 5
_AXES = "xyz"


@dataclass
class Names:
    """Hands out ids: a letter and the next number for it. used : how often each letter was given."""

    used: Counter = field(default_factory=Counter)

    def take(self, letter: str) -> str:
        """Return the next id with that letter."""
        self.used[letter] += 1
        return f"{letter}{self.used[letter]}"


@dataclass(frozen=True)
class Region:
    """Part of the body. within : sides that only it has together. letters : those of the seams on the way to it, for
    a section is named by one seam of each letter. centre : "+y1" where y1 is the centre plane it lies beyond, else
    None."""

    within: tuple[str, ...]
    letters: frozenset[str]
    centre: str | None = None


def seams_of(node: Node, region: Region, names: Names) -> list[SeamPlane]:
    """Return the seams of a node and all below it, each listed before those it bounds."""
    if not node.planes:
        return []
    node = _turned(node)
    letter = _letter(node.planes[0], region.letters)
    made = [_seam(names.take(letter), plane, region.within) for plane in node.planes]
    listed = list(made)
    # A seam that leans to the side is one of a mirrored pair: short of it lies the other half too.
    half = (region.centre,) if region.centre and abs(node.planes[0].normal[1]) > 10**-_DIRECTION / 2 else ()
    for number, part in enumerate(node.parts):
        sides = [f"+{made[number - 1].id}"] if number else []
        sides += [f"-{made[number].id}"] if number < len(made) else []
        listed += seams_of(part, Region((*half, *sides), region.letters | {letter}, region.centre), names)
    return listed


def _turned(node: Node) -> Node:
    """Return the node with its planes' normal toward +y, else +x, else +z."""
    x, y, z = (round(c, _DIRECTION) for c in node.planes[0].normal)
    if (y, x, z) > (0, 0, 0):
        return node
    return Node(tuple(plane.flipped() for plane in reversed(node.planes)), tuple(reversed(node.parts)))


def _letter(plane: Plane, taken: frozenset[str]) -> str:
    """Return the axis a plane stands square to, or the first letter from a on that is not taken on the way."""
    axis = _axis(plane)
    if axis is not None and axis not in taken:
        return axis
    return next(letter for letter in ascii_lowercase if letter not in taken | set(_AXES))


def _axis(plane: Plane) -> str | None:
    normal = np.round(plane.normal, _DIRECTION)
    return _AXES[int(normal.argmax())] if normal.max() == 1 else None


def _seam(name: str, plane: Plane, within: tuple[str, ...]) -> SeamPlane:
    axis, at = _axis(plane), round(plane.offset, _PLACE)
    if axis is not None:
        return SeamPlane(id=name, axis=axis, at=at, within=list(within), bolted="room")
    normal = [round(c, _DIRECTION) for c in plane.normal]
    return SeamPlane(id=name, normal=normal, at=at, within=list(within), bolted="room")


def _number(seam: SeamPlane, digits: int) -> str:
    return f"{round(seam.at, digits):g}"


def seam_lines(seams: list[SeamPlane], place: Callable[[SeamPlane, int], str] = _number) -> list[str]:
    """Return seams as lines of a parameter file, one each. place : what stands for a seam's `at`, of so many digits."""
    return [_line(seam, place(seam, _PLACE)) for seam in seams]


def _line(seam: SeamPlane, at: str) -> str:
    normal = "" if seam.axis else ", ".join(f"{c:g}" for c in seam.normal)
    where = f'axis = "{seam.axis}"' if seam.axis else f"normal = [{normal}]"
    sides = ", ".join(f'"{side}"' for side in seam.within)
    bolted = {True: "", False: ", bolted = false"}.get(seam.bolted, f', bolted = "{seam.bolted}"')
    panel = f', panel = "{seam.panel}"' if seam.panel else ""
    rest = (f", within = [{sides}]" if sides else "") + panel + bolted
    return f'{{ id = "{seam.id}", {where}, at = {at}{rest} }},'
