"""Seams of panels that open: even ones, for a panel is small and near to flat."""

from __future__ import annotations

import numpy as np

from sections.seaming.naming import Names
from sections.settings.joints import SeamPlane


def even_seams(name: str, bounds: np.ndarray, rooms: np.ndarray, names: Names, *, symmetric: bool) -> list[SeamPlane]:
    """Return seams that cut a panel into even slices of which each fits one printer; none where it fits whole.

    bounds : (2, 3) mm. rooms : (k, 3) mm, of every printer. symmetric : the panel is its own mirror image in y = 0, and
    seams are given at y >= 0 alone. names : gives new ids.
    """
    extent = bounds[1] - bounds[0]
    counts = np.ones(3, int)
    while not _fits(extent / counts, rooms):
        counts[int((extent / counts).argmax())] += 1
    made = []
    for axis, letter in enumerate("xyz"):
        for number in range(1, counts[axis]):
            at = float(bounds[0, axis] + extent[axis] * number / counts[axis])
            if letter == "y" and symmetric and at < -1e-6:
                continue
            made.append(SeamPlane(id=names.take(letter), axis=letter, at=round(at, 1), panel=name, bolted="room"))
    return made


def _fits(size: np.ndarray, rooms: np.ndarray) -> bool:
    return bool((np.sort(size) <= np.sort(rooms, axis=1)).all(1).any())
