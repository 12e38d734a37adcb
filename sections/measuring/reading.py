"""Reading a finished output folder back: its parts in place, and the body anew from its source."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import numpy as np

from sections.checks.built_parts import BodyTruth, BuiltPair, BuiltSection
from sections.donor.kept_off import KeptOff
from sections.errors import BadInput, OutputRefused
from sections.export.manifest import Manifest, PartRecord, read_manifest
from sections.export.read_once import PLAN_NAME, read_once
from sections.features import JOINT_NAMES
from sections.numbers.bounds import boxes_meet
from sections.numbers.mesh import Growth, Mesh, shell_numbers, weld_exact
from sections.plan.model import Plan, PlannedPair, plan_from_json
from sections.results import digest_of, sha256_of
from sections.results.scratch import Scratch
from sections.settings.plain_text import is_plain_file
from sections.solids.distance import MeshDistance
from sections.solids.mesh_read import read_mesh
from sections.wall.kept_body import put_skin, skin_content, skin_distance

if TYPE_CHECKING:
    from sections.body import Body

Data = TypeVar("Data")

# mm; exact points nearer than this to an opening's edge may have been cut away with it.
_OPENING = 1.0
# mm; a shell this little higher than a foot is said to be is one.
_FOOT_ROUNDING = 0.01
# Sections a process keeps while it checks seams: two rows across a body, so that neighbours are still at hand.
_SECTIONS_KEPT = 40


def read_plan(folder: Path) -> Plan:
    """Return the plan in an output folder. Raises OutputRefused when there is none or it is damaged."""
    return read_data(folder / PLAN_NAME, plan_from_json)


def read_data(path: Path, parse: Callable[[str], Data]) -> Data:
    """Return what a build saved as text. parse : raises ValueError for text it did not write. Raises OutputRefused."""
    try:
        return parse(path.read_text("utf-8"))
    except (FileNotFoundError, NotADirectoryError):
        raise OutputRefused(f"{path}: there is none; build first: sections build ...") from None
    except (ValueError, OSError, RecursionError) as error:
        why = (str(error) or "too deep").splitlines()[0]
        raise OutputRefused(f"{path}: damaged or from another version ({why}); build again") from None


def keep_truth(scratch: Scratch, body: Body, blunt: float, kept_off: tuple[KeptOff, ...] = ()) -> None:
    """Keep what the checks need of a body, and of what it keeps off, in a scratch folder.

    blunt : mm; how thick edges at openings are cut: nearer to an opening than that there may be none of the skin.
    """
    put_skin(scratch, body)
    scratch.put("openings", [opening.mesh for opening in body.openings])
    scratch.put("opening-ids", tuple(opening.given for opening in body.openings))
    scratch.put("border", body.border)
    scratch.put("kept-off", kept_off)
    skin = MeshDistance(body.skin, body.doubt)
    truth = BodyTruth(skin, _openings(scratch), body.exact_points, _border(scratch))
    openings = [(opening.given, opening.mesh) for opening in body.openings]
    given = (skin_content(scratch.folder), openings, body.border, kept_off, body.exact_points, body.given, blunt)
    scratch.put("truth-content", digest_of(given))

    def off_openings(points: np.ndarray) -> np.ndarray:
        return points[truth.off_openings(points, max(_OPENING, blunt))]

    scratch.put("exact", off_openings(body.exact_points))
    scratch.put("as-given", body.given and replace(body.given, points=off_openings(body.given.points)))


@lru_cache(maxsize=1)
def truth_of(folder: Path) -> BodyTruth:
    """Return the body kept in a scratch folder, its search trees built once a process."""
    scratch = Scratch(folder)
    openings, exact, kept_off = _openings(scratch), scratch.get("exact"), scratch.get("kept-off")
    border, ids, given = _border(scratch), scratch.get("opening-ids"), scratch.get("as-given")
    return BodyTruth(skin_distance(folder), openings, exact, border, kept_off, ids, given)


def _border(scratch: Scratch) -> MeshDistance | None:
    border = scratch.get("border")
    return None if border is None else MeshDistance(border)


def _openings(scratch: Scratch) -> tuple[MeshDistance, ...]:
    return tuple(MeshDistance(mesh) for mesh in scratch.get("openings"))


@read_once(1)
def plan_of(out: Path) -> Plan:
    """Return the plan of an output folder, read once a process."""
    return read_plan(out)


@read_once(1)
def manifest_of(out: Path) -> Manifest:
    """Return the manifest of an output folder, read once a process."""
    return read_manifest(out)


def record_of(out: Path, part_id: str) -> PartRecord:
    """Return what the manifest says of a part that a build wrote."""
    return next(part for part in manifest_of(out).parts if part.id == part_id)


@read_once(None)
def file_contents(out: Path, part_id: str) -> tuple[tuple[str, str | None], ...]:
    """Return (format, digest) of a part's files, read once a process; None of one that is missing."""
    return tuple((file.format, sha256_of(out / file.path)) for file in record_of(out, part_id).files)


def as_read(out: Path, section_id: str) -> tuple:
    """Return all that a section as read back depends on: its files, how they are read, and what is planned of it."""
    plan, record = plan_of(out), record_of(out, section_id)
    given = plan.section(section_id), plan.seams_of(section_id), plan.bosses_of(section_id)
    return *given, record.growth, record.foot_height, file_contents(out, section_id)


@read_once(_SECTIONS_KEPT)
def built_section(out: Path, section_id: str) -> BuiltSection:
    """Return one section read back from its STL. Raises BadInput when the file is not there or not a mesh."""
    plan = plan_of(out)
    planes = {seam.id: seam.plane for seam in plan.seams_of(section_id)}
    printed, foot = read_with_foot(out, record_of(out, section_id))
    return BuiltSection(plan.section(section_id), printed, planes, plan.bosses_of(section_id), foot)


def read_part(out: Path, record: PartRecord) -> Mesh:
    """Return a part read back from its STL, or its 3MF when no STL is written, as it is once it has shrunk, its foot
    taken off.

    Raises StopIteration when it has neither.
    """
    return read_with_foot(out, record)[0]


def read_with_foot(out: Path, record: PartRecord) -> tuple[Mesh, Mesh | None]:
    """Return (a part; its foot, None without) read back. A foot's shells are the solid ones no higher than it is."""
    paths = {file.format: file.path for file in record.files}
    mesh = read_print(out / next(paths[name] for name in ("stl", "3mf") if name in paths), record.growth)
    if not record.foot_height:
        return mesh, None
    shells = shell_numbers(mesh)
    high = np.full(shells.max() + 1, -np.inf)
    np.maximum.at(high, np.repeat(shells, 3), mesh.triangles[:, :, 2].reshape(-1))
    low = mesh.bounds[0, 2]
    # A void sealed in the part is a shell too, of faces that look inward.
    solid = mesh.shell_volumes(shells) > 0
    is_foot = (solid & (high - low < record.foot_height / record.growth[2] + _FOOT_ROUNDING))[shells]
    return mesh.submesh(~is_foot), mesh.submesh(is_foot) if is_foot.any() else None


def read_print(path: Path, growth: Growth) -> Mesh:
    """Return the part that a print file becomes once it has shrunk, in print coordinates. Raises BadInput."""
    return weld_exact(read_mesh(path)[0]).unstretched(growth)


def built_pair(out: Path, pair: PlannedPair) -> BuiltPair:
    """Return a pair of sections read back, with the joints planned between them."""
    plan = plan_of(out)
    seam = next(seam for seam in plan.seams if seam.id == pair.seam)
    sides = built_section(out, pair.minus), built_section(out, pair.plus)
    return BuiltPair(seam.id, seam.given, seam.plane, *sides, plan.joints_across(pair.id))


def loose_pieces(out: Path) -> dict[str, Mesh]:
    """Return the loose pieces read back, by kind, each centred on the middle of its box."""
    pieces = {}
    for record in manifest_of(out).parts:
        if record.kind in JOINT_NAMES:
            mesh = read_part(out, record)
            pieces[record.kind] = Mesh(mesh.vertices - mesh.bounds.mean(0), mesh.faces)
    return pieces


def changed_files(out: Path, manifest: Manifest) -> list[tuple[str, str]]:
    """Return (part id, what is wrong) for every file that is missing or not as it was written."""
    wrong = []
    for part_id, file in manifest.files:
        path = out / file.path
        if not is_plain_file(path):
            wrong.append((part_id, f"{file.path} is missing"))
        elif path.stat().st_size != file.bytes or sha256_of(path) != file.sha256:
            wrong.append((part_id, f"{file.path} is not as it was written"))
    return wrong


@dataclass(frozen=True)
class SectionRead:
    """Whether a section's file can be read. why : why not, None where it can. bounds : (2, 3) mm, vehicle frame, of
    what was read."""

    why: str | None
    bounds: np.ndarray | None


@read_once(None)
def section_read(out: Path, folder: Path, section_id: str) -> SectionRead:
    """Return whether a section of an output folder can be read, and where it lies, without reading it where a run
    before did. folder : scratch."""
    return Scratch(folder).once("section-read", as_read(out, section_id), lambda: _section_read(out, section_id))


def sections_near(out: Path, folder: Path, box: np.ndarray, spare: float) -> tuple[str, ...]:
    """Return the sections of an output folder that can be read and come within `spare` mm of a box, (2, 3) mm, by their
    bounds. folder : scratch. Those that cannot be read are reported by their own checks."""
    there = {section.id: section_read(out, folder, section.id).bounds for section in plan_of(out).sections}
    return tuple(name for name, own in there.items() if own is not None and boxes_meet(own, box, spare))


def _section_read(out: Path, section_id: str) -> SectionRead:
    why = readable(out, section_id)
    return SectionRead(why, None if why is not None else built_section(out, section_id).mesh.bounds)


def readable(out: Path, section_id: str) -> str | None:
    """Return None when a section's STL can be read, else why not."""
    try:
        built_section(out, section_id)
    except (BadInput, StopIteration) as error:
        return str(error) or "it has no STL file"
    return None
