"""Whether a cut leaves wall to its own skin, and its lines room for joints.

Slices 10 mm off a side were plates that fit no bed: skin nearer to a cut along it than a flange's back reaches
becomes flange. A deck 34.1 mm above a seam, where 34 is the limit, was 9 mm thick on average. A cut that crosses no
skin costs nothing by itself, and one that ran 1 mm into a deck's wall from below left a section without skin and
neighbours without room for joints.
"""

from __future__ import annotations

import numpy as np

from sections.numbers.frame import Plane
from sections.seaming.shell import LEAST_SINE, Shell, Split
from sections.solids.corner_groups import corner_groups

# mm; wall that reaches less far over a seam is within what trial cuts are off.
_HARDLY = 0.1
# Of the shortest run two sections can share and be joined: a line less long has no room for joints wherever it ends.
_HOPELESS = 0.5


def cuts_off_wall(shell: Shell, plane: Plane, wall: float) -> bool:
    """Return whether a plane runs below skin of a shell that it does not cross, within the wall, mm, behind it: what
    wall lies beyond has no skin on its side."""
    off = plane.distance(shell.vertices)[shell.faces]
    low, high = off.min(1), off.max(1)
    areas = np.maximum(np.linalg.norm(shell.area_vectors, axis=1), 1e-300)
    reach = wall * (shell.area_vectors @ np.asarray(plane.normal)) / areas
    over = ((low > 0) & (high - reach < -_HARDLY)) | ((high < 0) & (low - reach > _HARDLY))
    if not over.any():
        return False
    seen = over | ((low < 0) & (high > 0))
    number = np.unique(shell.faces[seen], return_inverse=True)[1].reshape(-1, 3)
    group = corner_groups(number)[number[:, 0]]
    return not np.isin(group[over[seen]], group[~over[seen]]).all()


def lines_without_room(split: Split, angles: np.ndarray, lengths: np.ndarray, run: float) -> int:
    """Return how many of a cut's lines, each in one piece, have no room for joints: too short where skin is steep
    enough to stand a flange on. angles, lengths : (k,) deg and mm, of the line's parts. run : mm, the shortest piece of
    seam two sections can share and be joined."""
    number = np.unique(split.ends, return_inverse=True)[1].reshape(-1, 2)
    group = corner_groups(number[:, [0, 1, 1]])[number[:, 0]]
    steep = np.bincount(group, lengths * (angles >= np.degrees(np.arcsin(LEAST_SINE))))
    return int((steep < _HOPELESS * run).sum())
