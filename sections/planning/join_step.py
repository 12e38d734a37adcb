"""Joining one pair of bare sections, in another process: where they meet, where hands get, where joints have room."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
from shapely import MultiPolygon

from sections.numbers.frame import Plane
from sections.numbers.free_space import Reached
from sections.numbers.mesh import Mesh, join
from sections.numbers.rows import unique_rows
from sections.plan.contacts import Interface, faces_on_seams
from sections.plan.hands import REACH, Hands, hand_space, in_block, in_the_way, mesh_near
from sections.plan.joints import JointRules, Side, outline_corners, plan_pair
from sections.plan.model import PlannedJoint, PlannedShortage
from sections.plan.seams import Seam
from sections.planning.blank import Blank
from sections.results import digest_of
from sections.results.scratch import Scratch, held
from sections.solids.distance import MeshDistance
from sections.wall.kept_body import skin_content, skin_distance


@dataclass(frozen=True)
class InTheWay:
    """What a bare section is in the way of. nodes : (n, 3) int, of the lattice of hands. bounds : (2, 3) mm."""

    nodes: np.ndarray
    bounds: np.ndarray


def stand_in_the_way(folder: Path, blank: Blank) -> InTheWay:
    """Return what a bare section is in the way of; looked at before, the same."""
    scratch = Scratch(folder)

    def looked() -> InTheWay:
        wall = blank.load_wall(scratch)
        return InTheWay(in_the_way(wall), wall.bounds)

    return scratch.once("standing", blank.content(scratch), looked)


def put_in_the_way(scratch: Scratch, stands: list[InTheWay]) -> str:
    """Keep what bare sections are in the way of in a scratch folder, and return the name it is kept under. A search
    plans again there with other seams: the name tells by what it is, so that no process takes one for the other."""
    nodes = np.vstack([one.nodes for one in stands])
    nodes = nodes[unique_rows(nodes)[0]]
    name = f"in-the-way-{digest_of(nodes)}"
    scratch.put(name, nodes)
    return name


@dataclass(frozen=True)
class Whole:
    """What is put together once a seam is joined: of the sections whose places are kept under a name, what lies on the
    plus side of planes."""

    kept: str
    planes: tuple[Plane, ...]


def seam_faces(folder: Path, blank: Blank, seams: list[tuple[Seam, int]]) -> dict[str, MultiPolygon]:
    """Return a bare section's faces on its seams, by seam id."""
    return faces_on_seams(blank.load_wall(Scratch(folder)), seams)


@dataclass(frozen=True)
class PairTask:
    """One pair of bare sections to be joined: the interface, both blanks, the other seams and bosses of each; and the
    part of the body they complete. around : what of it comes near."""

    interface: Interface
    minus: Blank
    plus: Blank
    minus_planes: tuple[Plane, ...]
    plus_planes: tuple[Plane, ...]
    bosses: tuple[tuple[np.ndarray, np.ndarray, float], ...]
    whole: Whole
    around: tuple[Blank, ...]


def about(interface: Interface) -> np.ndarray:
    """Return the bounds, (2, 3) mm, of what can be in the way of hands at an interface."""
    corners = outline_corners(interface)
    return np.array([corners.min(0) - REACH, corners.max(0) + REACH])


@lru_cache(maxsize=4)
def reach_in(folder: Path, whole: Whole) -> Reached | None:
    """Return where hands get in a part of the body put together; looked at before, the same."""
    nodes = in_block(held(folder, whole.kept), whole.planes)
    return Scratch(folder).once("hands", nodes, lambda: hand_space(nodes))


@dataclass(frozen=True)
class _AboutHands:
    """What is in the way of hands that bolt a pair, besides its own two sections. walls : vehicle frame, mm. places :
    (n, 3) mm, where hands get to."""

    walls: Mesh
    places: np.ndarray


def join_pair(folder: Path, task: PairTask, rules: JointRules) -> tuple[list[PlannedJoint], list[PlannedShortage]]:
    """Return the joints of one pair, and what found no room."""
    scratch = Scratch(folder)
    about = _about_hands(folder, task) if task.interface.seam.bolted else None
    given = (
        task.interface, task.minus.content(scratch), task.plus.content(scratch), task.minus_planes, task.plus_planes,
        task.bosses, rules, skin_content(folder), about,
    )  # fmt: skip
    return scratch.once("joined", given, lambda: _join_pair(folder, task, rules, about))


def _join_pair(
    folder: Path, task: PairTask, rules: JointRules, about: _AboutHands | None
) -> tuple[list[PlannedJoint], list[PlannedShortage]]:
    scratch = Scratch(folder)
    minus = Side(task.minus.load_wall(scratch), task.minus_planes, task.bosses)
    plus = Side(task.plus.load_wall(scratch), task.plus_planes)
    walls = about and MeshDistance(join([minus.mesh, plus.mesh, about.walls]))
    hands = None if about is None else Hands(walls, about.places)
    return plan_pair(task.interface, minus, plus, skin_distance(folder), rules, hands)


def _about_hands(folder: Path, task: PairTask) -> _AboutHands:
    """Return what is about two bare sections that are bolted together, as far as it is put together by then: all others
    near them, with their flanges. It is the same wherever other seams run that are far from there."""
    bounds = about(task.interface)
    near = [mesh_near(blank.load_wall(Scratch(folder)), task.whole.planes, bounds) for blank in task.around]
    reached = reach_in(folder, task.whole)
    places = np.empty((0, 3)) if reached is None else reached.places(bounds)
    return _AboutHands(join(near), places)
