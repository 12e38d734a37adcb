"""The health report of a file: read, examined, reported line by line, kept as JSON and pictures."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from sections.body.misplaced import LONGEST
from sections.body.source import same_unit
from sections.body.step_trials import Look, look_at_step
from sections.errors import BadInput, Problem
from sections.export.stage import staged
from sections.numbers.mesh import Mesh, weld_exact
from sections.numbers.words import place_words
from sections.processes.pool import Pool
from sections.run.named_body import known_unit, source_complaints
from sections.scan.advice import advise, with_keys, with_sew
from sections.scan.health import Ailment, Health, examine
from sections.scan.tried_advice import TriedAdvice, try_advice
from sections.settings.body import MM_PER
from sections.settings.rules_body import BODY_ENDINGS, STEP_ENDINGS

HEALTH_NAME = "health.json"
# Lines for so many surfaces, holes and places; the JSON has more.
_SHOWN, _KEPT = 5, 200


@dataclass(frozen=True)
class InspectionTask:
    """What is asked of a file. units : of its coordinates; needed where it states none. scale : body.scale, and
    deviation : mm, mesh.deviation of the build it is for. trial : what may repair it is tried."""

    units: str | None = None
    scale: float = 1.0
    deviation: float = 0.1
    trial: bool = True


def inspect(path: Path, asked: InspectionTask, target: Path, pool: Pool) -> Health:
    """Examine a file and write the report into `target`. Raises BadInput, OutputRefused."""
    look = _look(path, asked)
    pool.progress.start("examining", 1)
    health = examine(look.mesh, look.deviation)
    pool.progress.advance(path.name)
    for line in report(path.name, look, health):
        pool.progress.say(line)
    for line in _what_to_write(path.name, look, health, asked, pool):
        pool.progress.say(line)
    from sections.pictures.health import make_health_pictures
    from sections.pictures.maps import make_asymmetry_maps

    with staged(target, "inspect") as root:
        (root / HEALTH_NAME).write_text(health_to_json(path.name, look.unit, health), "utf-8")
        pool.progress.start("rendering pictures", 1)
        make_health_pictures(health, root)
        if health.symmetry:
            make_asymmetry_maps(health.mesh, health.symmetry[0], "symmetry", root)
    return health


def repairing_lines(path: Path, asked: InspectionTask, say: Callable[[str], None]) -> list[str] | None:
    """Return the lines of a parameter file, table headings among them, with which a file's body was taken when it was
    tried; None where nothing tried does. Raises BadInput."""
    look = _look(path, asked)
    health = examine(look.mesh, look.deviation)
    if health.is_sound or health.tangled:
        return _whole(look, ()) if health.is_sound else None
    tried = try_advice(weld_exact(look.mesh), health, look.deviation, path.name, say)
    done = [one for one in tried if not one.why]
    return [line for line in _whole(look, done[0].lines) if not line.startswith("#")] if done else None


def _whole(look: Look, lines: Iterable[str]) -> list[str]:
    """Return advice with what the file itself asks for besides."""
    return with_sew(with_keys(lines, {"[mesh]": look.mesh_keys, "[body]": look.body}), look.sew)


def _what_to_write(name: str, look: Look, health: Health, asked: InspectionTask, pool: Pool) -> list[str]:
    """Return what the parameter file needs for the body to be built, a line each."""
    longest = float(look.mesh.size.max())
    if longest > LONGEST:
        return [
            f"it is {longest / 1000:.3g} m long; a build takes no body longer than {LONGEST / 1000:g} m: look again "
            "with the --scale, or the --units, it is to be built at"
        ]

    if health.is_sound:
        needed = [f"    {line}" for line in _whole(look, ())]
        return ["this in the parameter file makes it so, as tried:", *needed] if needed else []
    if health.tangled:
        return ["its faces lie all over one another, as noise does: nothing is tried; export the body again"]
    if not asked.trial:
        return ["this in the parameter file may repair it:", *(f"    {line}" for line in _whole(look, advise(health)))]
    pool.progress.start("trying what may repair it", 1)
    tried = try_advice(weld_exact(look.mesh), health, look.deviation, name, pool.progress.advance)
    return advice([replace(one, lines=tuple(_whole(look, one.lines))) for one in tried])


def _look(path: Path, asked: InspectionTask) -> Look:
    """Return what there is to see of a file: triangles at the size of the build, its unit, its parts."""
    problems = list(source_complaints("FILE", path, asked.units))
    if path.suffix.lower() not in BODY_ENDINGS:
        limit = f"a name ending in {', '.join(BODY_ENDINGS)}"
        problems.append(Problem("(command line)", "FILE", str(path), limit, "export it in one of these"))
    if problems:
        raise BadInput(problems)
    if path.suffix.lower() in STEP_ENDINGS:
        look = look_at_step(path, asked.scale, asked.deviation)
        return replace(look, unit=_unit(look.unit, asked.units, path))
    from sections.solids.mesh_read import read_mesh

    mesh, stated = read_mesh(path)
    unit = _unit(stated, asked.units, path)
    return Look(Mesh(mesh.vertices * MM_PER[unit] * asked.scale, mesh.faces), unit, (), deviation=asked.deviation)


def _unit(stated: str, given: str | None, path: Path) -> str:
    unit = given or known_unit(stated)
    same_unit(stated, unit, path, "--units")
    return unit


def report(name: str, look: Look, health: Health) -> list[str]:
    """Return the report, a line each."""
    mesh = health.mesh
    size = f"{_size(mesh.bounds)} mm (unit: {look.unit})"
    lines = [f"{name}: {health.given} triangles, {len(mesh.vertices)} corners, {size}", *look.lines]
    for number, surface in enumerate(health.surfaces[:_SHOWN], 1):
        if surface.volume is None:
            state = f"open ({surface.open_edges} open edges)"
        else:
            state = f"closed, {abs(surface.volume) / 1e6:.4g} l" + (", looks inward" if surface.volume < 0 else "")
        where = f"{_size(surface.bounds)} mm at {place_words(surface.bounds.mean(0))}"
        lines.append(f"surface {number}: {surface.faces} triangles, {where}, {state}")
    if len(health.surfaces) > _SHOWN:
        lines.append(f"and {len(health.surfaces) - _SHOWN} smaller surfaces ({HEALTH_NAME})")
    lines += [
        f"hole {number}: {hole.edges} open edges, {hole.length:.1f} mm of rim, {hole.span:.1f} mm across at "
        f"{place_words(hole.bounds.mean(0))}"
        for number, hole in enumerate(health.holes[:_SHOWN], 1)
    ]
    if len(health.holes) > _SHOWN:
        lines.append(f"and {len(health.holes) - _SHOWN} shorter holes ({HEALTH_NAME})")
    lines += [f"symmetry: {health.symmetry[0]}"] if health.symmetry else []
    for ailment in health.ailments:
        lines += _told(ailment)
    kinds = sum(ailment.stops for ailment in health.ailments)
    refused = f"a build refuses it: {kinds} kind{'s' if kinds > 1 else ''} of fault"
    taken = "a build takes it" if look.body or look.sew or look.mesh_keys else "a build takes it as it is"
    if mesh.size.max() > LONGEST:
        taken = "sound, and too long to be built"
    verdict = taken if health.is_sound else refused
    return [*lines, f"{name}: {verdict}"]


def advice(tried: list[TriedAdvice]) -> list[str]:
    """Return what was tried, and what does, a line each."""
    said: list[str] = []
    for one in tried:
        head = "tried, and it does not do" if one.why else "this in the parameter file repairs it, as tried"
        if not one.why and f"{head}:" in said:
            head = "or this, where what is open is to be closed, as tried"
        elif "[checks]" in one.lines:
            head = f"this makes it sound and leaves out {100 - one.kept:.2g} percent of what is seen of it, as tried"
        said += [f"{head}:", *(f"    {line}" for line in one.lines), *([f"    {one.why}"] if one.why else [])]
    if tried and tried[-1].why:
        said.append("nothing tried here repairs it: change the body in the modeller at the places above")
    return said


def _told(ailment: Ailment) -> list[str]:
    flaw = ailment.flaw
    shown = "; ".join(place_words(place) for place in flaw.places[:_SHOWN])
    head = "must be repaired" if ailment.stops else "worth a look"
    return [
        f"{head}: {flaw.count} {flaw.kind}, at {shown}",
        f"    means: {ailment.means}",
        f"    fix: {flaw.remedy}",
    ]


def health_to_json(name: str, unit: str, health: Health) -> str:
    """Return the report for other programs: places in mm, up to 200 of a kind."""
    whole = {
        "file": name,
        "unit": unit,
        "triangles": health.given,
        "corners": len(health.mesh.vertices),
        "bounds": _numbers(health.mesh.bounds),
        "sound": health.is_sound,
        "surfaces": [
            {
                "triangles": one.faces, "area_mm2": one.area, "bounds": _numbers(one.bounds),
                "open_edges": one.open_edges, "volume_mm3": one.volume,
            }
            for one in health.surfaces[:_KEPT]
        ],
        "holes": [
            {"edges": one.edges, "rim": one.length, "bounds": _numbers(one.bounds)} for one in health.holes[:_KEPT]
        ],
        "symmetry": [
            {"normal": _numbers(one.normal), "at": one.offset, "most": one.most, "furthest": one.furthest}
            for one in health.symmetry
        ],
        "ailments": [
            {
                "code": one.flaw.code, "what": one.flaw.kind, "count": one.flaw.count, "stops": one.stops,
                "means": one.means, "change": one.flaw.remedy, "places": _numbers(one.flaw.places[:_KEPT]),
            }
            for one in health.ailments
        ],
    }  # fmt: skip
    return json.dumps(whole, indent=1) + "\n"


def _numbers(array: np.ndarray) -> list:
    return np.round(array, 4).tolist()


def _size(bounds: np.ndarray) -> str:
    return " x ".join(f"{extent:.1f}" for extent in bounds[1] - bounds[0])
