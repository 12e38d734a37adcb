"""Laying one section on the bed, in another process: its pose, its foot, and room for its label."""

from __future__ import annotations

from dataclasses import dataclass, fields
from pathlib import Path

import numpy as np
import shapely

from sections.numbers.frame import Plane
from sections.numbers.mesh import Mesh
from sections.numbers.sampling import sample_surface
from sections.numbers.tolerances import ON_SURFACE
from sections.plan.bed_cost import Judge, Outside
from sections.plan.foot import Foot, foot_for
from sections.plan.labels import LabelRoom, place_label
from sections.plan.model import PlannedBoss
from sections.plan.pose import Bed, Down, Pose, choose_mirrored_pose, choose_pose
from sections.plan.seam_labels import SeamFace
from sections.planning.blank import Blank
from sections.results.scratch import Scratch
from sections.settings.making import LabelTable, PoseTable
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid
from sections.wall.kept_body import skin_content, skin_distance

# Places looked at on a section to know its skin.
_PLACES, _SEED = 3000, 5
# mm; so deep in the wall a standoff begins.
_IN_WALL = 1.0


@dataclass(frozen=True)
class LayTask:
    """One section to be posed and marked.

    downs : seam faces nothing stands out of. tongue_points : (n, 3) corners of tongues on it. seams : planes
    with a flange. bosses : (point, radius) labels keep off. faces : on the seams, with their joints. standoffs : what
    stands on it, as it weighs and hangs over.
    """

    blank: Blank
    downs: tuple[tuple[str, Plane, float], ...]
    tongue_points: np.ndarray
    seams: tuple[Plane, ...]
    bosses: tuple[tuple[np.ndarray, float], ...]
    faces: tuple[SeamFace, ...]
    standoffs: tuple[PlannedBoss, ...]


@dataclass(frozen=True)
class LayRules:
    """Beds, wall, how far a flange reaches from its seam, how labels look, what poses are judged by, and how dense the
    plastic is, g/cm3."""

    beds: tuple[Bed, ...]
    wall: float
    flange_reach: float
    label: LabelTable
    pose: PoseTable
    density: float


def lay_section(folder: Path, task: LayTask, rules: LayRules) -> tuple[Pose, Foot | None, tuple | None]:
    """Return (print pose, foot or None, (label, frame) or None) for one bare section."""
    scratch = Scratch(folder)
    own = [getattr(task, field.name) for field in fields(task) if field.name != "blank"]
    given = (task.blank.id, task.blank.content(scratch), own, rules, skin_content(folder))
    return scratch.once("laid", given, lambda: _lay_section(folder, task, rules))


def _lay_section(folder: Path, task: LayTask, rules: LayRules) -> tuple[Pose, Foot | None, tuple | None]:
    mesh = task.blank.load_wall(Scratch(folder))
    room = LabelRoom(skin_distance(folder), rules.wall, task.seams, rules.flange_reach, task.bosses, task.faces)
    label = place_label(task.blank.id, mesh, room, rules.label)
    downs = [Down(name, np.array(plane.normal), area) for name, plane, area in task.downs]
    points = np.vstack([mesh.vertices, task.tongue_points])
    choose = choose_mirrored_pose if task.blank.mirrored else choose_pose
    solid = PrintSolid.of(mesh, task.blank.id)
    whole = solid.unite([_standoff(boss) for boss in task.standoffs]) if task.standoffs else solid
    judge = Judge(whole, _outside(mesh, skin_distance(folder)), rules.pose)
    pose = choose(points, downs, rules.beds, judge)
    bed = next(bed for bed in rules.beds if bed.printer == pose.printer)
    mass = whole.volume_mm3 * rules.density * 1e-6
    return pose, foot_for(judge.layers(pose.frame), mass, pose.size[2], rules.pose.foot_thickness, bed.free), label


def _standoff(boss: PlannedBoss) -> PrintSolid:
    """Return a boss or hardpoint as a plain bar, in the vehicle frame."""
    travel, own = boss.boss.travel, boss.boss
    outline = shapely.LineString([(-travel, 0.0), (travel, 0.0)]) if travel else shapely.Point(0.0, 0.0)
    return PrintSolid.prism(outline.buffer(own.outer / 2), -own.height - _IN_WALL, 0.0).placed(boss.frame)


def _outside(mesh: Mesh, skin: MeshDistance) -> Outside:
    """Return places on the skin of a section, evenly spread."""
    places, faces = sample_surface(mesh, _PLACES, _SEED)
    on_skin = skin.unsigned(places) < ON_SURFACE
    return Outside(mesh.normals[faces[on_skin]], float(mesh.areas_mm2.sum()) / _PLACES)
