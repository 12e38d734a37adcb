"""The same by Monte Carlo: every error drawn, the body put together with turns that are turns, again and again."""

from __future__ import annotations

import numpy as np

from sections.stackup.network import ARM, Network

# Rounds of settling; the ties are off by less than a thousandth of what is sought after two.
_ROUNDS = 4


def scattered(network: Network, section: str, place: np.ndarray, times: int, seed: int) -> np.ndarray:
    """Return where a place of a section lands, off its own, (times, 3) mm.

    Each tie is off by a normal error, each section by one along each of its print axes, all sections of a
    printer by one in each of the bed's directions for shrinkage; what they may be off by is three deviations. Sections
    are then shifted and turned, as rigid bodies, until the ties give evenly: least squares, settled again from where
    they have come to.
    """
    rng = np.random.default_rng(seed)
    count, ties = len(network.solids), len(network.ties)
    axes = np.array([solid.axes for solid in network.solids])
    size = np.array([solid.size for solid in network.solids])
    spread = np.array([solid.spread for solid in network.solids])
    shared = network.shared
    number, landed = network.index[section], np.zeros((times, 3))
    for turn in range(times):
        off = rng.normal(0, network.off / 3, ties)
        strain = rng.normal(0, 1 / 3, (count, 3)) * spread[:, None] / size
        strain = strain + (shared @ rng.normal(0, 1 / 3, shared.shape[1])).reshape(count, 3)
        grown = np.einsum("mik,mk,mjk->mij", axes, strain, axes)
        moves = np.zeros((count, 6))
        for _ in range(_ROUNDS):
            felt = _felt(network, moves, grown) - off
            moves -= (network.answer @ felt).reshape(count, 6)
        landed[turn] = _lands(network, moves, grown, np.array([number]), place[None])[0] - place
    return landed


def _felt(network: Network, moves: np.ndarray, grown: np.ndarray) -> np.ndarray:
    """Return by how much each tie's two places have parted along what it keeps, (n,) mm."""
    ends = []
    for side in (0, 1):
        which = np.maximum(network.sides[:, side], 0)
        landed = _lands(network, moves, grown, which, network.places)
        ends.append(np.where((network.sides[:, side] >= 0)[:, None], landed, network.places))
    held = network.sides[:, 0] < 0
    which = np.maximum(network.sides[:, 0], 0)
    ways = np.where(held[:, None], network.kept, _turned(network.kept, moves[which, 3:] / ARM))
    return ((ends[1] - ends[0]) * ways).sum(1)


def _lands(network: Network, moves: np.ndarray, grown: np.ndarray, which: np.ndarray, places: np.ndarray) -> np.ndarray:
    """Return where places (n, 3) of sections `which` come to lie."""
    arms = places - network.middles[which]
    arms = arms + np.einsum("nij,nj->ni", grown[which], arms)
    return network.middles[which] + moves[which, :3] + _turned(arms, moves[which, 3:] / ARM)


def _turned(points: np.ndarray, turns: np.ndarray) -> np.ndarray:
    """Return (n, 3) points, each turned by its own rotation vector (n, 3), rad (Rodrigues' formula)."""
    angle = np.linalg.norm(turns, axis=1, keepdims=True)
    axis = np.divide(turns, angle, out=np.zeros_like(turns), where=angle > 0)
    level = (axis * points).sum(1, keepdims=True) * axis
    return points * np.cos(angle) + np.cross(axis, points) * np.sin(angle) + level * (1 - np.cos(angle))
