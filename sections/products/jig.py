"""The jig of a build: designed on the body, laid on sheets, written."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from sections.body import Body
from sections.checks.finding import Found
from sections.export.manifest import FileRecord, record_file
from sections.export.write_dxf import dxf_bytes
from sections.jig.design import Jig, design_jig
from sections.jig.locating import freedoms_taken
from sections.jig.model import JIG_SCHEMA, PlannedJig, PlannedSheetPart, jig_to_json
from sections.jig.nesting import Laid, nest
from sections.jig.pads import Skin
from sections.jig.stations import Ground
from sections.jig.templates import templates_of
from sections.measuring.jig_reading import JIG_PATH, printed_meshes, read_jig, read_parts
from sections.measuring.jig_steps import check_jig
from sections.numbers.frame import Plane
from sections.processes.pool import Pool
from sections.products.printed_jig import write_printed
from sections.products.product import Drawing, MadeProduct, Making, Measuring, Product
from sections.settings.jig import JigTable
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid
from sections.wall.kept_body import skin_content


def _make(making: Making, pool: Pool) -> MadeProduct:
    """Design the jig asked for, and write its sheets or pieces and jig.json; nothing where none is.

    Raises BadInput where the body gives nothing to hold it by.
    """
    settings, body, plan, scratch, root = making.settings, making.body, making.plan, making.scratch, making.root
    jig = settings.jig
    if jig is None:
        return MadeProduct()
    if jig.make == "printed":
        jig = jig.model_copy(update={"cutter": 0.0})
    pool.progress.start("designing the jig", 1)
    across = tuple(seam.plane for seam in plan.seams if not seam.within)
    openings, both = tuple(one.mesh for one in body.openings), not settings.body.symmetric
    given = (skin_content(scratch.folder), openings, body.block, across, jig, both)
    made = scratch.once("jig-designed", given, lambda: _designed(body, across, jig, both=both))
    (root / JIG_PATH).parent.mkdir()
    if jig.make == "printed":
        printed = write_printed(settings, made.parts, root, pool)
        whole = replace(_planned(made, (None,) * len(made.parts), []), pieces=printed.pieces, butts=printed.butts)
        joints = tuple(joint for butt in printed.butts for joint in butt.joints)
        return MadeProduct(tuple(printed.records), (_write_plan(whole, root),), joints)
    laid = nest(made.parts, tuple(jig.sheet), jig.cutter)
    sheets = [_write_sheet(number, made, laid, jig, root) for number in range(1, max(one.sheet for one in laid) + 1)]
    planned = _planned(made, laid, [record.path for record in sheets])
    return MadeProduct(papers=(*sheets, _write_plan(planned, root)))


def _designed(body: Body, across: tuple[Plane, ...], jig: JigTable, *, both: bool) -> Jig:
    """Return the jig of a body, templates of its skin included. across : the seams that cut all of it. both : whether
    templates are made for the left as well."""
    skin = Skin(MeshDistance(body.skin, body.doubt), tuple(MeshDistance(o.mesh) for o in body.openings), jig.thickness)
    ground = Ground(PrintSolid.of(body.block, "body"), skin, across)
    made = design_jig(ground, jig)
    return replace(made, parts=(*made.parts, *templates_of(ground, jig, both=both)))


def _write_plan(planned: PlannedJig, root: Path) -> FileRecord:
    text = jig_to_json(planned).encode()
    (root / JIG_PATH).write_bytes(text)
    return record_file("json", JIG_PATH, text)


def _write_sheet(number: int, made: Jig, laid: tuple[Laid, ...], jig: JigTable, root: Path) -> FileRecord:
    here = [(part, one) for part, one in zip(made.parts, laid, strict=True) if one.sheet == number]
    cuts = [one.onto_sheet(part.outline) for part, one in here]
    marks = [one.onto_sheet(mark) for part, one in here for mark in part.marks]
    content = dxf_bytes(tuple(jig.sheet), cuts, marks)
    path = JIG_PATH.parent / f"sheet-{number}.dxf"
    (root / path).write_bytes(content)
    return record_file("dxf", path, content)


def _planned(made: Jig, laid: tuple[Laid | None, ...], sheets: list[str]) -> PlannedJig:
    parts = tuple(
        PlannedSheetPart(part.id, part.frame, part.thickness, one, part.slots, part.follows)
        for part, one in zip(made.parts, laid, strict=True)
    )
    freedoms = freedoms_taken([contact for contact in made.contacts if contact.locates])
    return PlannedJig(JIG_SCHEMA, made.stations, made.top, parts, made.contacts, freedoms, tuple(sheets))


def _check(measuring: Measuring, pool: Pool) -> Found:
    return check_jig(measuring.folder, measuring.out, measuring.rules, pool)


def _draw(drawing: Drawing) -> list[str]:
    """Draw the sections on the jig, its parts or, of one that is printed, its pieces as read back."""
    from sections.pictures.album import make_jig_pictures

    root = drawing.root
    if not (root / JIG_PATH).exists():
        return []
    pieces = printed_meshes(root, read_jig(root))
    parts = pieces or {name: part.solid.mesh() for name, part in read_parts(root).items()}
    return make_jig_pictures(drawing.built, parts, root)


JIG = Product("jig", _make, check=_check, draw=_draw)
