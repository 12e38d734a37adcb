"""What carving a plan showed that trial cuts could not: where the search must leave more room, or cut elsewhere."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from sections.numbers.frame import Plane
from sections.seaming.rules import SeamRules, points_of
from sections.seaming.shell import Shell, nearest_of

# What of the distance to a place, the fourth of a row of Rules.clear, is kept at least.
_NEARER = np.array([1.0, 1.0, 1.0, 0.4, 1.0])


# Of what a piece was thought to measure: more too large, it was several.
_GROWN = 0.4


@dataclass(frozen=True)
class Larger:
    """A section that came out too large. planes : its seams, it lies on their plus side. place : amid it, (3,) mm.
    along : (3,) unit, where it lacks room, and lack : how much, mm."""

    planes: tuple[Plane, ...]
    place: np.ndarray
    along: np.ndarray
    lack: float

    def bound(self, shell: Shell, rules: SeamRules) -> np.ndarray | None:
        """Return, as a row of Shell.bounds, how much shorter it must be than a part's shell was thought to be there;
        None where none of the shell is there."""
        for plane in self.planes:
            shell = shell.split(plane, rules.depths).beyond
        if not len(shell):
            return None
        groups = rules.groups(shell)
        thought = float(np.ptp(points_of(groups[nearest_of(groups, self.place)]) @ self.along))
        # So much too large is no piece for itself: what was thought several grew into one.
        together = self.lack > _GROWN * thought
        if together:
            thought = float(np.ptp(shell.points @ self.along))
        return np.array([*self.place, *self.along, thought - self.lack, together])


@dataclass(frozen=True)
class Troubles:
    """larger : sections that came out too large. clear : (m, 5) places no seam should come near, as in Rules."""

    larger: tuple[Larger, ...]
    clear: np.ndarray

    def __len__(self) -> int:
        """How many there are."""
        return len(self.larger) + len(self.clear)

    def fewer(self) -> Iterator[Troubles]:
        """Yield all of them, then with seams kept less far off, then those of one kind alone: what to try in turn where
        there is no plan without all."""
        yield self
        if len(self.clear):
            yield self.nearer()
        if len(self.larger) and len(self.clear):
            yield replace(self, clear=self.clear[:0])
            yield replace(self.nearer(), larger=())

    def nearer(self) -> Troubles:
        """Return them with seams kept less far off."""
        return replace(self, clear=self.clear * _NEARER)

    def bounded(self, shell: Shell, rules: SeamRules) -> Shell:
        """Return a part's shell that says what of it must come out smaller."""
        rows = [one.bound(shell, rules) for one in self.larger]
        return shell.with_bounds(np.array([row for row in rows if row is not None]).reshape(-1, 8))
