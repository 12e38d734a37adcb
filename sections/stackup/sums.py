"""The sums for every section of a body: who adds what to where its farthest place comes to lie."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sections.numbers.stack import Part, part, root_sum_square, worst_case
from sections.stackup.network import Network

DIRECTIONS = {"x": np.array([1.0, 0, 0]), "y": np.array([0, 1.0, 0]), "z": np.array([0, 0, 1.0])}
_AXES = ("x", "y", "height")


@dataclass(frozen=True)
class Sum:
    """One section. place : (3,) mm, on it. along : direction. worst, usual : mm, plus and minus: worst case, root sum
    of squares. from_datum : mm, from the datum along that direction."""

    section: str
    place: tuple[float, float, float]
    along: str
    parts: tuple[Part, ...]
    worst: float
    usual: float
    from_datum: float


def usual_at(network: Network, section: str, place: np.ndarray, along: str) -> float:
    """Return the root sum of squares of what ties and sizes add to a place of a section along a direction, mm."""
    return root_sum_square(_parts(network, section, place, DIRECTIONS[along], worst=False))


def sum_at(network: Network, section: str, place: np.ndarray, along: str, skin: float, datum: np.ndarray) -> Sum:
    """Return what errors come to at a place of a section along a direction. skin : mm, of the skin itself."""
    usual = {one.name: one for one in _parts(network, section, place, DIRECTIONS[along], worst=False)}
    worst = {one.name: one for one in _parts(network, section, place, DIRECTIONS[along], worst=True)}
    none = Part("", 0.0, 0.0)
    parts = [Part(name, worst.get(name, none).most, usual.get(name, none).usual) for name in {**usual, **worst}]
    parts.append(part("skin where it is measured", skin))
    away = abs(float((place - datum) @ DIRECTIONS[along]))
    return Sum(section, tuple(place.tolist()), along, tuple(parts), worst_case(parts), root_sum_square(parts), away)


def _parts(network: Network, section: str, place: np.ndarray, along: np.ndarray, *, worst: bool) -> list[Part]:
    """Return everything that moves a place (3,) of a section along a unit direction (3,): ties by their names, then
    what the sections' own sizes add, at random and by shrinkage that is not known. worst : as ties can add most at all,
    else as they do when all give evenly."""
    moved = network.moved(section, place, along)
    weights = network.tightest(moved) if worst else network.usual(moved)
    shares: dict[str, list[float]] = {}
    for tie, share in zip(network.ties, weights * network.off, strict=True):
        shares.setdefault(tie.name, []).append(float(share))
    made = [Part(name, sum(map(abs, its)), math.sqrt(sum(one * one for one in its))) for name, its in shares.items()]
    number = network.index[section]
    lengths = np.array([_by_section(network, axis, weights, number, place, along) for axis in range(3)])
    size = np.array([solid.size for solid in network.solids]).T
    spread = np.array([solid.spread for solid in network.solids])
    for solid, own in zip(network.solids, (np.abs(lengths) / size * spread).T, strict=True):
        made.append(Part(f"size of {solid.id}", float(own.sum()), float(np.linalg.norm(own))))
    unsure = np.array([solid.unsure for solid in network.solids]).T
    made += [part(f"shrinkage in {name}", abs(float((lengths[n] * unsure[n]).sum()))) for n, name in enumerate(_AXES)]
    return [one for one in made if one.most > 0]


def _by_section(network: Network, axis: int, weights, number: int, place, along) -> np.ndarray:
    """Return how far the place moves when each section grows by one part along its print axis, (m,) mm."""
    minus, plus = network.strain(axis)
    count = len(network.solids)
    shares = np.zeros(count)
    for side, felt, sign in ((0, minus, 1.0), (1, plus, -1.0)):
        here = network.sides[:, side] >= 0
        shares += np.bincount(network.sides[here, side], (sign * weights * felt)[here], minlength=count)
    solid = network.solids[number]
    way = solid.axes[:, axis]
    shares[number] += float(along @ way) * float((place - solid.middle) @ way)
    return shares


def together(parts: tuple[Part, ...]) -> list[Part]:
    """Return contributors of one kind made one: what stands before the comma, sizes of sections, shrinkage."""
    kinds: dict[str, list[Part]] = {}
    for one in parts:
        kind = "size of sections" if one.name.startswith("size of") else one.name.partition(",")[0]
        kinds.setdefault(kind, []).append(one)
    return [
        Part(kind, sum(one.most for one in its), math.sqrt(sum(one.usual**2 for one in its)))
        for kind, its in kinds.items()
    ]
