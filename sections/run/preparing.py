"""The skin a scan becomes, without building it: every step reported, the skin written, what was moved shown."""

from __future__ import annotations

import json
from pathlib import Path, PurePath

from sections.body.load import prepared_skin
from sections.errors import PARAMETERS, BadInput, Problem
from sections.export.stage import staged
from sections.numbers.mesh import Mesh, in_file_numbers, weld_exact
from sections.processes.pool import Pool
from sections.scan.prepare import Prepared
from sections.scan.symmetric import symmetric_planes
from sections.settings import Settings
from sections.settings.rules_body import comes_as_triangles
from sections.solids.distance import MeshDistance
from sections.solids.soundness import edge_flaws
from sections.solids.write_stl import stl_bytes

SKIN_NAME, REPORT_NAME = "skin.stl", "skin.json"


def prepare_skin(settings: Settings, folder: Path, target: Path, pool: Pool) -> Prepared:
    """Make the skin and write it, its report and its pictures into `target`. Raises BadInput, OutputRefused."""
    if not comes_as_triangles(settings):
        limit = "a mesh, or a STEP file with body.open or steps of [repair]"
        raise BadInput([Problem(PARAMETERS, "body", "", limit, "a solid with exact faces is built as it is")])
    pool.progress.start("preparing the skin", 1)
    made = prepared_skin(settings, folder)
    pool.progress.advance(settings.name)
    for line in made.lines:
        pool.progress.say(line)
    skin = weld_exact(in_file_numbers(made.skin))
    for line in _spoilt_by_file(made.skin, skin):
        pool.progress.say(line)
    with staged(target, "prepare") as root:
        (root / SKIN_NAME).write_bytes(stl_bytes(skin))
        (root / REPORT_NAME).write_text(_report(settings, made), "utf-8")
        pool.progress.start("rendering pictures", 1)
        _pictures(settings, made, root, pool)
    return made


def _spoilt_by_file(skin: Mesh, in_file: Mesh) -> list[str]:
    """Return a line for each fault that only the file has: its 32-bit numbers make corners one."""
    own = {flaw.code for flaw in edge_flaws(skin)}
    return [f"{SKIN_NAME}, in 32-bit numbers: {flaw}" for flaw in edge_flaws(in_file) if flaw.code not in own]


def _report(settings: Settings, made: Prepared) -> str:
    whole = {
        "name": settings.name,
        "file": PurePath(settings.body.file).name,
        "triangles": len(made.skin),
        "bounds": made.skin.bounds.round(4).tolist(),
        "moved": made.spent,
        "steps": list(made.lines),
    }
    return json.dumps(whole, indent=1) + "\n"


def _pictures(settings: Settings, made: Prepared, root: Path, pool: Pool) -> None:
    """Show how far the skin is from the mesh as it came, and from its own mirror image."""
    from sections.pictures.maps import make_asymmetry_maps, make_maps

    off = MeshDistance(made.given).unsigned(made.skin.vertices)
    words = ("distance from the mesh as it came", "new skin: holes closed")
    make_maps(made.skin, off, max(made.spent, settings.mesh.deviation), words, "moved", root)
    plane = max(symmetric_planes(made.skin), key=lambda one: abs(one.normal[1]))
    pool.progress.say(f"near y = 0: {plane}")
    make_asymmetry_maps(made.skin, plane, "asymmetry", root)
