"""The sums for every section of a body: who adds what to where its farthest place comes to lie."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sections.numbers.tolerance_stack import Contributor, contributor, root_sum_square, worst_case
from sections.stackup.network import Network

DIRECTIONS = {"x": np.array([1.0, 0, 0]), "y": np.array([0, 1.0, 0]), "z": np.array([0, 0, 1.0])}
_AXES = ("x", "y", "height")


@dataclass(frozen=True)
class Sum:
    """One section. place : (3,) mm, on it. along : direction. worst, usual : mm, plus and minus: worst case, root sum
    of squares. from_datum : mm, its distance from the datum."""

    section: str
    place: tuple[float, float, float]
    along: str
    parts: tuple[Contributor, ...]
    worst: float
    usual: float
    from_datum: float


def sum_at(network: Network, section: str, place: np.ndarray, along: str, skin: float, datum: np.ndarray) -> Sum:
    """Return what errors come to at a place of a section along a direction. skin : mm, of the skin itself. Raises
    ValueError where a section can still move."""
    usual = {one.name: one for one in parts_at(network, section, place, DIRECTIONS[along], worst=False)}
    worst = {one.name: one for one in parts_at(network, section, place, DIRECTIONS[along], worst=True)}
    none = Contributor("", 0.0, 0.0)
    parts = [Contributor(name, worst.get(name, none).most, usual.get(name, none).usual) for name in {**usual, **worst}]
    parts.append(contributor("skin where it is measured", skin))
    away = float(np.linalg.norm(place - datum))
    return Sum(section, tuple(place.tolist()), along, tuple(parts), worst_case(parts), root_sum_square(parts), away)


def parts_at(network: Network, section: str, place: np.ndarray, along: np.ndarray, *, worst: bool) -> list[Contributor]:
    """Return everything that moves a place (3,) of a section along a unit direction (3,): ties by their names, then
    what the sections' own sizes add, at random, and each printer's shrinkage that is not known. worst : as errors can
    add most at all, else as they do when all ties give evenly."""
    moved, grown = network.moved(section, place, along), _grown(network, section, place, along)
    weights = network.tightest(moved, grown) if worst else network.usual(moved)
    shares: dict[str, list[float]] = {}
    for tie, share in zip(network.ties, weights * network.off, strict=True):
        shares.setdefault(tie.name, []).append(float(share))
    made = [
        Contributor(name, sum(map(abs, its)), math.sqrt(sum(one * one for one in its))) for name, its in shares.items()
    ]
    lengths = grown - weights @ network.growths
    spread = np.repeat([solid.spread for solid in network.solids], 3)
    sizes = (np.abs(lengths) / np.array([solid.size for solid in network.solids]).ravel() * spread).reshape(-1, 3)
    for solid, own in zip(network.solids, sizes, strict=True):
        made.append(Contributor(f"size of {solid.id}", float(own.sum()), float(np.linalg.norm(own))))
    for number, off in enumerate(lengths @ network.shared):
        printer = network.printers[number // 3]
        name = f"shrinkage in {_AXES[number % 3]}" + (f", {printer}" if len(network.printers) > 1 else "")
        made.append(contributor(name, abs(float(off))))
    return [one for one in made if one.most > 0]


def _grown(network: Network, section: str, place: np.ndarray, along: np.ndarray) -> np.ndarray:
    """Return how a place moves by its own section's growth along each axis, (3 m,), zero for all other sections'."""
    number, made = network.index[section], np.zeros(3 * len(network.solids))
    solid = network.solids[number]
    made[3 * number : 3 * number + 3] = (along @ solid.axes) * ((place - solid.middle) @ solid.axes)
    return made


def together(parts: tuple[Contributor, ...]) -> list[Contributor]:
    """Return contributors of one kind made one: what stands before the comma, sizes of sections, shrinkage."""
    kinds: dict[str, list[Contributor]] = {}
    for one in parts:
        kind = "size of sections" if one.name.startswith("size of") else one.name.partition(",")[0]
        kinds.setdefault(kind, []).append(one)
    return [
        Contributor(kind, sum(one.most for one in its), math.sqrt(sum(one.usual**2 for one in its)))
        for kind, its in kinds.items()
    ]
