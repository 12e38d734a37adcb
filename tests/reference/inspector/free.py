"""Where fingers get to: balls of free space that hang together with the outside, on a lattice."""

from __future__ import annotations

import numpy as np
import trimesh

from .build import Build

# mm; the lattice, the radius of a ball of free space, and from its middle to what fingers hold (common practice, no
# source).
STEP, BALL, FINGERS = 10.0, 20.0, 100.0


class FreeSpace:
    """Free space around what is put together, by which sections are there."""

    def __init__(self, build: Build):
        self.build = build
        self.nodes = {}
        for name, section in build.sections.items():
            mesh = section.printed
            points, _ = trimesh.sample.sample_surface(mesh, int(mesh.area / 12), seed=7)
            nodes = np.rint(section.frame.out(points) / STEP).astype(int)
            self.nodes[name] = np.unique(nodes, axis=0)
        everything = np.vstack(list(self.nodes.values()))
        self.low = everything.min(0) - 6
        self.shape = everything.max(0) + 7 - self.low
        self.known: dict[frozenset, np.ndarray] = {}

    def is_reached(self, place: np.ndarray, there: set[str]) -> bool:
        """Return whether a free ball that hangs together with the outside is near enough to a place: with all of the
        body in place, or at least with what is there by then."""
        return self._near(place, frozenset(self.nodes)) or self._near(place, frozenset(there))

    def _near(self, place: np.ndarray, there: frozenset) -> bool:
        if there not in self.known:
            self.known[there] = self._flooded(there)
        centre = np.rint(place / STEP).astype(int) - self.low
        reach = int(FINGERS / STEP)
        first, last = np.maximum(centre - reach, 0), np.minimum(centre + reach + 1, self.shape)
        if (first >= last).any():
            return True
        part = self.known[there][first[0] : last[0], first[1] : last[1], first[2] : last[2]]
        off = np.argwhere(part) + first - centre
        return bool(len(off)) and float(np.linalg.norm(off, axis=1).min()) <= reach

    def _flooded(self, there: frozenset) -> np.ndarray:
        solid = np.zeros(self.shape, bool)
        for name in there:
            solid[tuple((self.nodes[name] - self.low).T)] = True
        reach = int(BALL / STEP)
        steps = np.arange(-reach, reach + 1)
        offs = np.array([(x, y, z) for x in steps for y in steps for z in steps if x * x + y * y + z * z <= reach**2])
        taken = np.zeros_like(solid)
        for off in offs:
            taken |= np.roll(solid, tuple(off), axis=(0, 1, 2))
        free = ~taken
        flooded = np.zeros_like(free)
        flooded[0] = free[0]
        count = 0
        while (now := int(flooded.sum())) != count:
            count = now
            for axis in range(3):
                flooded = _along(flooded, free, axis)
        return flooded


def _along(flooded: np.ndarray, free: np.ndarray, axis: int) -> np.ndarray:
    """Return what is flooded once whatever is spreads along an axis as far as it is free."""
    rows, wet = np.moveaxis(free, axis, -1), np.moveaxis(flooded, axis, -1)
    begins = ~rows
    begins[..., 0] = True
    run = np.cumsum(begins.ravel()).reshape(rows.shape)
    reached = np.zeros(int(run.max()) + 1, bool)
    reached[run[wet]] = True
    return np.moveaxis(reached[run] & rows, -1, axis)
