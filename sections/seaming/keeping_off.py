"""Seams whose flange or bolts would come too near to what sections keep off."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sections.donor.kept_off import KeptOff
from sections.numbers.frame import Plane
from sections.numbers.sampling import points_along
from sections.seaming.shell import LEAST_SINE, Split, inward
from sections.settings import Settings
from sections.settings.joint_line import bolt_reach, joint_line

# mm, between the places looked at, along a seam and across its flange.
_SPACING = 5.0


@dataclass(frozen=True)
class KeepingOff:
    """things : what is kept off. wall : mm, how far it reaches in from the skin. across : (k, 2) mm, places across a
    seam, how deep below the skin, and how far off the seam."""

    things: tuple[KeptOff, ...]
    wall: float
    across: np.ndarray

    @staticmethod
    def of(settings: Settings, things: tuple[KeptOff, ...]) -> KeepingOff | None:
        """Return what seams are held to, None where nothing is kept off."""
        if not things:
            return None
        if settings.body.symmetric:
            # Seams are found for the right half and mirrored; what has its mirror image by it needs none.
            known = {one.mesh.vertices.tobytes() for one in things}
            images = [KeptOff(one.id, one.mesh.mirrored_y(), one.gap) for one in things]
            things += tuple(one for one in images if one.mesh.vertices.tobytes() not in known)
        flange, wall = settings.flange, settings.wall.thickness
        count = int(np.ceil((flange.height - wall) / _SPACING)) + 1
        deep = np.linspace(wall, flange.height, count)
        rows = [[depth, side * flange.thickness] for depth in deep for side in (-1, 0, 1)]
        rows += [[joint_line(settings), side * bolt_reach(settings)] for side in (-1, 1)]
        return KeepingOff(things, wall, np.array(rows))

    def is_met(self, split: Split, plane: Plane) -> bool:
        """Return whether along a cut something would come too near; not where the wall by itself does."""
        places, which = points_along(split.line, _SPACING)
        reach = np.hypot(*np.abs(self.across).max(0)) / LEAST_SINE
        for thing in self.things:
            near = thing.within(places, thing.gap + reach)
            if near.any() and self._is_near(thing, places[near], split.normals[which[near]], plane):
                return True
        return False

    def _is_near(self, thing: KeptOff, places: np.ndarray, normals: np.ndarray, plane: Plane) -> bool:
        ways = inward(normals, plane, 1.0)
        free = ~thing.too_near(places + self.wall * ways)
        deep, aside = self.across.T[:, :, None, None]
        there = places[free] + deep * ways[free] + aside * np.asarray(plane.normal)
        return bool(thing.too_near(there.reshape(-1, 3)).any())
