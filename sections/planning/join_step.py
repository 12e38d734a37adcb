"""Joining one pair of bare sections, in another process: where they meet, where hands get, where joints have room."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from shapely import MultiPolygon

from sections.numbers.frame import Plane
from sections.numbers.free_space import Reached
from sections.numbers.mesh import Mesh, join
from sections.plan.contacts import Interface, faces_on_seams
from sections.plan.hands import REACH, Hands, hand_space, in_the_way, mesh_near
from sections.plan.joints import JointRules, Side, outline_corners, plan_pair
from sections.plan.model import PlannedJoint, PlannedShortage
from sections.plan.seams import Seam
from sections.planning.blank import Blank
from sections.results import digest_of
from sections.results.scratch import Scratch, held
from sections.solids.distance import MeshDistance
from sections.wall.kept_body import skin_content, skin_distance

# Under this name the skin that openings leave is kept.
SHOWN = "shown"


@dataclass(frozen=True)
class Shown:
    """The skin that openings leave. nodes : in the way of hands, (n, 3). digest : of the skin."""

    skin: Mesh
    nodes: np.ndarray
    digest: str


def put_shown(scratch: Scratch, skin: Mesh) -> None:
    """Keep the skin that openings leave in a scratch folder."""
    scratch.put(SHOWN, Shown(skin, in_the_way(skin), digest_of(skin)))


def seam_faces(folder: Path, blank: Blank, seams: list[tuple[Seam, int]]) -> dict[str, MultiPolygon]:
    """Return a bare section's faces on its seams, by seam id."""
    return faces_on_seams(blank.load_wall(Scratch(folder)), seams)


@dataclass(frozen=True)
class PairTask:
    """One pair of bare sections to be joined: the interface, both blanks, the other seams and bosses of each; and the
    part of the body they complete, by planes it lies on the plus side of. around : what meets either of them."""

    interface: Interface
    minus: Blank
    plus: Blank
    minus_planes: tuple[Plane, ...]
    plus_planes: tuple[Plane, ...]
    bosses: tuple[tuple[np.ndarray, np.ndarray, float], ...]
    block: tuple[Plane, ...]
    around: tuple[Blank, ...]


def reach_in(folder: Path, block: tuple[Plane, ...]) -> Reached | None:
    """Return where hands get in a part of the body put together, given by planes it lies on the plus side of; looked
    at before, the same."""
    shown: Shown = held(folder, SHOWN)
    return Scratch(folder).once("hands", (block, shown.digest), lambda: hand_space(shown.nodes, block))


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
    """Return what is about two bare sections that are bolted together: what meets them with its flanges, and the skin
    of all, as far as it is put together by then. It is the same wherever other seams run that are far from there."""
    corners = outline_corners(task.interface)
    bounds = np.array([corners.min(0) - REACH, corners.max(0) + REACH])
    walls = [held(folder, SHOWN).skin, *(blank.load_wall(Scratch(folder)) for blank in task.around)]
    near = [mesh_near(mesh, task.block, bounds) for mesh in walls]
    reached = reach_in(folder, task.block)
    places = np.empty((0, 3)) if reached is None else reached.places(bounds)
    return _AboutHands(join(near), places)
