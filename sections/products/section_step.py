"""The work done in other processes: one call a cell, a pair or a section, from plain inputs to plain results."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from sections.building.foot import make_foot
from sections.building.section import Bare, make_section
from sections.building.settle import settle
from sections.export.files import PartFiles, part_files, write_files
from sections.export.manifest import FileRecord
from sections.numbers.mesh import Mesh, join
from sections.plan.model import PlannedSection
from sections.planning.blank import Blank
from sections.processes.kept_attempts import Made
from sections.results.scratch import Scratch, held
from sections.solids.print_solid import PrintSolid

_SECTIONS = "sections"


@dataclass(frozen=True)
class MadePart:
    """A part that was made: its volume, the size of its print files, height and volume of the foot in them."""

    id: str
    volume_mm3: float
    size: tuple[float, float, float]
    foot_height: float = 0.0
    foot_mm3: float = 0.0


@dataclass(frozen=True)
class _Built:
    """A section as built, in place, its print files by format, and what the manifest says of it."""

    mesh: Mesh
    files: tuple[tuple[str, bytes], ...]
    part: MadePart


def build_section(
    folder: Path, section_id: str, blank: Blank, root: Path, formats: list[str], material: str
) -> tuple[MadePart, tuple[FileRecord, ...]]:
    """Build one section of the plan kept in a scratch folder and write its print files below `root`.

    It is kept in the scratch folder in place, as "built-<id>", for its STEP file.
    """
    scratch, plan = Scratch(folder), held(folder, "plan")
    section, joints = plan.section(section_id), plan.joints_of(section_id)
    bosses = plan.bosses_of(section_id)
    given = (section, joints, bosses, blank.content(scratch), formats, material)
    made = scratch.once("built", given, lambda: _built(folder, section, blank, formats, material))
    scratch.put_mesh(f"built-{section_id}", made.mesh)
    return made.part, write_files(section_id, _SECTIONS, made.files, root)


def _built(folder: Path, section: PlannedSection, blank: Blank, formats: list[str], material: str) -> _Built:
    scratch, plan, name = Scratch(folder), held(folder, "plan"), f"section {section.id}"
    bare = Bare(
        PrintSolid.of(blank.load_wall(scratch), section.id),
        PrintSolid.of(blank.load_block(scratch), section.id),
    )
    bosses = plan.bosses_of(section.id)
    solid = make_section(section, bare, plan.joints_of(section.id), bosses, held(folder, "tools"))
    printed = settle(solid, section.pose, section.growth, name)
    mesh = printed.unstretched(section.growth)
    foot = None if section.foot is None else make_foot(printed, section.foot, section.growth, name)
    whole = printed if foot is None else join([printed, foot])
    made = MadePart(section.id, mesh.volume_mm3, tuple(float(s) for s in whole.size))
    if foot is not None:
        made = replace(made, foot_height=float(foot.size[2]), foot_mm3=foot.volume_mm3)
    files = part_files(PartFiles(section.id, _SECTIONS, whole), formats, material)
    return _Built(section.pose.place(mesh), files, made)


def write_inexact(folder: Path, section_id: str, facets: float | None) -> Made:
    """Keep the section "built-<id>" of a scratch folder as a STEP file there, "<id>.step".

    facets : mm, within which it gets planar faces; None for a tessellated shell.
    """
    from sections.solids.write_step import step_bytes, tessellated_step_bytes

    mesh = Scratch(folder).mesh(f"built-{section_id}")
    files = [f"{section_id}.step"]
    if facets is None:
        content = tessellated_step_bytes(mesh, section_id)
    else:
        from sections.solids.exact_solid import write_brep
        from sections.solids.facets import faceted

        solid = faceted(PrintSolid.of(mesh, section_id), facets)
        write_brep(solid, folder / f"exact-{section_id}.brep")
        files.append(f"exact-{section_id}.brep")
        content = step_bytes(solid.shape, section_id, lean=True)
    (folder / files[0]).write_bytes(content)
    return Made(None, tuple(files))
