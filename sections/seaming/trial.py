"""The body as trial cuts see it.

Pieces of skin within a flange's height of one another count as one section where they are the two sides of a thin
edge. A cabin's floor 5 mm above a deck is not: 68 sections counted were 78 carved.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from scipy.spatial import cKDTree

from sections.body import Body
from sections.donor.kept_off import KeptOff
from sections.features.boss import BossShape
from sections.features.hardpoint import hardpoint_of
from sections.numbers.mesh import MIRROR_Y, Mesh
from sections.numbers.sampling import points_along
from sections.numbers.sharp import sharp_edges
from sections.plan.bosses import standing
from sections.scan.surfaces import Rims
from sections.seaming.curvature import Curvatures
from sections.seaming.keeping_off import KeepingOff
from sections.seaming.rules import SeamRules
from sections.seaming.shell import Depths, Shell
from sections.settings import Settings
from sections.settings.bosses import Boss as BossSettings
from sections.settings.bosses import Hardpoint as HardpointSettings
from sections.settings.joint_line import beside_seam, least_section, shortest_run
from sections.solids.distance import MeshDistance, corner_normals

# mm; by how much a section must be smaller than the bed, trial cuts being off the true skin.
_SPARE = 1.0
# deg; an edge sharper than this is kept off; mm, between the points looked at on one.
_SHARP, _SPACING = 35.0, 8.0
# mm; how tall a boss or hardpoint is taken to be before its wall is known.
_TALL = 40.0


def trial_shell(skin: Mesh, depths: Depths) -> Shell:
    """Return a trial skin as a shell."""
    return Shell.of(skin, corner_normals(skin), depths)


def rules_of(settings: Settings, body: Body, things: tuple[KeptOff, ...], skin: Mesh, rooms: np.ndarray) -> SeamRules:
    """Return what seams of a body's trial skin are judged by. things : kept off. rooms : (k, 3) mm, of all printers."""
    seams = settings.seams
    return SeamRules(
        rooms - _SPARE, *_behind(settings), seams.angle, seams.width, shortest_run(settings),
        _clear_places(settings, skin), still_edges(skin), Curvatures.of(body.skin, corner_normals(body.skin)),
        seams.weights, KeepingOff.of(settings, things),
    )  # fmt: skip


def with_flange(rules: SeamRules, settings: Settings) -> SeamRules:
    """Return rules for the flange of other settings; places kept clear stay as wide."""
    depths, shortest, beside = _behind(settings)
    return replace(rules, depths=depths, shortest=shortest, beside=beside)


def _behind(settings: Settings) -> tuple[Depths, float, float]:
    """Return what stands behind the skin: (depths, the shortest slice, how near skin runs beside a seam), mm."""
    tongue = settings.keys.height if settings.keys.kind == "fixed" else 0.0
    depths = Depths(settings.wall.thickness, settings.flange.height, tongue)
    return depths, least_section(settings), beside_seam(settings) + _SPARE


def _clear_places(settings: Settings, skin: Mesh) -> np.ndarray:
    """Return the places no seam comes near, (k, 5) mm: middle, radius, depth below the skin; bosses at both ends."""
    flange, wall = settings.flange.thickness, settings.wall.thickness
    places = [(np.array(one.at), one.radius + flange, settings.body.symmetric) for one in settings.seams.clear]
    surface = MeshDistance(skin)
    for asked in (*settings.bosses, *settings.hardpoints):
        mouth = np.array(asked.at)
        radius = _spread(settings, asked) + flange + _SPARE
        axis, height = standing(mouth, None if asked.axis is None else np.array(asked.axis), wall, surface)
        # Where no wall is in reach the plan will say so.
        foot = mouth - ((height or 0.0) + wall / 2) * axis
        places += [(end, radius, asked.mirror) for end in (mouth, foot)]
    rows = [[*at, radius] for at, radius, _ in places] + [
        [*(at * MIRROR_Y), radius] for at, radius, both in places if both
    ]
    clear = np.array(rows, float).reshape(-1, 4)
    return np.column_stack([clear, surface.unsigned(clear[:, :3])])


def _spread(settings: Settings, asked: BossSettings | HardpointSettings) -> float:
    """Return how wide a boss or hardpoint stands, mm from its axis."""
    wall = settings.wall.thickness
    if isinstance(asked, BossSettings):
        # Of a boss that is lower than its foot is wide that is as wide as it is high.
        return BossShape.of(asked, _TALL, wall).spread
    made = hardpoint_of(asked, _TALL, wall, settings.material.allowable_stress)
    return asked.base_cone if made is None else made.spread


def still_edges(skin: Mesh) -> cKDTree | None:
    """Return points on the rims and sharp edges of a skin, or None where it has none."""
    ends = skin.vertices[np.vstack([Rims.of(skin).ends, sharp_edges(skin, _SHARP)])]
    if not len(ends):
        return None
    return cKDTree(points_along(ends, _SPACING)[0])
