"""The pictures of a build, of parts read back from their files."""

from __future__ import annotations

from pathlib import Path

from sections.donor.kept_off import KeptOff
from sections.export.manifest import PartRecord
from sections.features.hardpoint import HardpointShape
from sections.measuring.jig_reading import JIG_PATH, printed_meshes, read_jig, read_parts
from sections.measuring.reading import read_part
from sections.numbers.mesh import Mesh
from sections.plan.model import Plan
from sections.processes.pool import Pool
from sections.products.guides import placed_guides

# How far around a hardpoint its picture shows, in heights of it.
_AROUND = 1.3


def _jig_meshes(root: Path) -> dict[str, Mesh]:
    """Return the parts of a jig, or the pieces of one that is printed, by id, in the vehicle frame."""
    pieces = printed_meshes(root, read_jig(root))
    return pieces or {name: part.solid.mesh() for name, part in read_parts(root).items()}


def build_pictures(
    plan: Plan, parts: list[PartRecord], kept_off: tuple[KeptOff, ...], root: Path, pool: Pool
) -> tuple[str, ...]:
    """Render the sections just written, read back from their files; return the pictures' paths."""
    from sections.pictures.album import (
        make_cut_picture,
        make_guide_picture,
        make_jig_pictures,
        make_keep_out_picture,
        make_pictures,
    )

    pool.progress.start("rendering pictures", 1)
    built = {
        part.id: plan.section(part.id).pose.place(read_part(root, part)) for part in parts if part.kind == "section"
    }
    marked = [section for section in plan.sections if section.label_frame is not None]
    shown = max(marked or plan.sections, key=lambda section: len(plan.joints_of(section.id)))
    made = make_pictures(built, shown.id, shown.label_frame or shown.pose, root)
    points = [boss for boss in plan.bosses if isinstance(boss.boss, HardpointShape)]
    if points:
        widest = max(points, key=lambda boss: boss.boss.travel)
        name = f"cut-{widest.id}"
        made.append(make_cut_picture(built[widest.section], widest.frame, _AROUND * widest.boss.height, root, name))
    guides = placed_guides(root)
    if guides:
        guide, mesh = guides[0]
        made.append(make_guide_picture(built[guide.section], mesh, guide.frame, root))
    if (root / JIG_PATH).exists():
        made += make_jig_pictures(built, _jig_meshes(root), root)
    if kept_off:
        made.append(make_keep_out_picture(built, [one.mesh for one in kept_off], root))
    return tuple(made)
