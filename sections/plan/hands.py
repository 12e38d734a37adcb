"""Where hands and their tools get while two sections are bolted together.

Nine of ten seconds went into rays along handles: ways that are part of no swing are not looked along, and a ray ends
at the handle's length.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.spatial import cKDTree

from sections.numbers.frame import Plane
from sections.numbers.free_space import Reached, nodes_on, reached_by
from sections.numbers.mesh import Mesh
from sections.solids.distance import MeshDistance

# mm; radius of a hand and of a person, how far an arm reaches past that, and the lattice it is all looked at on. A hand
# 80 wide, an arm of 600: common practice, no source.
HAND, PERSON, ARM, STEP = 40.0, 225.0, 600.0, 15.0
# Directions in which a key's arm is tried, and how many neighbouring ones must be free: a key is put on again after
# a sixth of a turn.
_WAYS = 24
_FREE = _WAYS // 6 + 1
# A handle is looked along in its middle and at its four edges: parts of its thickness aside, and upward.
_EDGES = np.array([(-0.5, -0.5), (-0.5, 0.5), (0.5, -0.5), (0.5, 0.5)])
# mm; from the middle of a hand to what its fingers hold, at most. Part of a key's arm at which it is held. Common
# practice, no source.
_FINGERS, _HELD = 100.0, 0.7
# mm; how far off a seam's face something can be in a hand's way.
REACH = 170.0
# Nearest places of a hand that are tried. mm; less than this before the hand's own middle is in nobody's way.
_TRIED, _ROUNDING = 6, 0.5


@dataclass(frozen=True)
class Hands:
    """What is there as two sections are joined. walls : distance to all that is put together by then, near the seam.
    places : (n, 3) mm, where the middle of a hand can be."""

    walls: MeshDistance
    places: np.ndarray

    def can_turn(self, pivots: np.ndarray, across: np.ndarray, arm: float, thick: float) -> np.ndarray:
        """Return at which places, (n,), a tool can be turned through a sixth of a turn by a hand that gets there.

        pivots : (n, 3) mm, in free space. across : (n, 2, 3) unit, the plane in which the handle turns. arm, thick :
        mm, how long, and how wide and high it is.
        """
        count = len(pivots)
        if not count or not len(self.places):
            return np.zeros(count, bool)
        turns = 2 * np.pi * np.arange(_WAYS) / _WAYS
        ways = np.einsum("wc,ncj->nwj", np.column_stack([np.cos(turns), np.sin(turns)]), across)
        aside = np.einsum("wc,ncj->nwj", np.column_stack([-np.sin(turns), np.cos(turns)]), across)
        upward = np.cross(across[:, 0], across[:, 1])[:, None]
        starts = np.broadcast_to(pivots[:, None], ways.shape)
        free = self._still_free(np.ones(ways.shape[:2], bool), starts, ways, arm)
        for wide, high in _EDGES * thick:
            off = wide * aside + high * upward
            reach = float(np.hypot(wide, high))
            # An edge that begins in a wall would go on in it.
            free = self._still_free(free, starts, off / reach, reach)
            free = self._still_free(free, starts + off, ways, arm)
        turned = np.zeros(count, bool)
        where, way = np.nonzero(_middles(free))
        held = self._is_held(pivots[where] + _HELD * arm * ways[where, way])
        turned[where[held]] = True
        return turned

    def _still_free(self, free: np.ndarray, starts: np.ndarray, ways: np.ndarray, length: float) -> np.ndarray:
        """Return which of the free ways, (n, w), meet nothing so far, mm, from their starts, (n, w, 3). Those that are
        part of no swing are not looked at, and are free no more."""
        asked = _in_swings(_middles(free))
        asked[asked] = self.walls.is_clear(starts[asked], ways[asked], length)
        return asked

    @cached_property
    def _tree(self) -> cKDTree:
        return cKDTree(self.places)

    def _is_held(self, places: np.ndarray) -> np.ndarray:
        """Return which places, (n, 3), a hand reaches with its fingers, nothing between."""
        held = np.zeros(len(places), bool)
        if not len(places):
            return held
        off, nearest = self._tree.query(places, k=min(_TRIED, len(self.places)), distance_upper_bound=_FINGERS)
        off, nearest = off.reshape(len(places), -1), nearest.reshape(len(places), -1)
        for number in range(off.shape[1]):
            asked = np.flatnonzero(~held & np.isfinite(off[:, number]))
            if not len(asked):
                break
            to = self.places[nearest[asked, number]] - places[asked]
            length = np.maximum(off[asked, number], 1e-9)
            seen = self.walls.is_clear(places[asked], to / length[:, None], length - _ROUNDING)
            held[asked[seen]] = True
        return held


def _middles(free: np.ndarray) -> np.ndarray:
    """Return which ways, (n, w), are in the middle of a run of free ones long enough for a swing."""
    return np.all([np.roll(free, shift, axis=1) for shift in range(-(_FREE // 2), _FREE // 2 + 1)], axis=0)


def _in_swings(middles: np.ndarray) -> np.ndarray:
    """Return which ways, (n, w), are part of the swings with these middles."""
    return np.any([np.roll(middles, shift, axis=1) for shift in range(-(_FREE // 2), _FREE // 2 + 1)], axis=0)


def in_the_way(mesh: Mesh) -> np.ndarray:
    """Return the nodes, (n, 3) int, of the lattice of hand_space that a section passes near."""
    return nodes_on(mesh, STEP)


def in_block(nodes: np.ndarray, block: tuple[Plane, ...]) -> np.ndarray:
    """Return those of nodes, (n, 3) int, that lie on the plus side of planes: it is open there."""
    inside = np.ones(len(nodes), bool)
    for plane in block:
        inside &= plane.distance(nodes * STEP) >= 0
    return nodes[inside]


def hand_space(nodes: np.ndarray) -> Reached | None:
    """Return where hands get around what is in the way, (n, 3) int nodes; None where nothing is."""
    return reached_by(nodes, STEP, HAND, PERSON, ARM) if len(nodes) else None


def mesh_near(mesh: Mesh, block: tuple[Plane, ...], bounds: np.ndarray) -> Mesh:
    """Return the triangles of a mesh that reach into (2, 3) bounds, mm, and into a block, its planes' plus sides."""
    near = mesh.reaching(bounds)
    inside = np.ones(len(near), bool)
    for plane in block:
        inside &= (plane.distance(near.vertices)[near.faces] > 0).any(1)
    return near.submesh(inside)
