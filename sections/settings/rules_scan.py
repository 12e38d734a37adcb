"""Contradictions in [[measured]], [datum], [repair] and [half]."""

from __future__ import annotations

from pathlib import Path

from sections.settings.model import Settings
from sections.settings.named import named_once
from sections.settings.rules_body import MESH_ENDINGS, STEP_ENDINGS, comes_as_triangles
from sections.settings.scan import RepairTable

# mm; a wrap is laid no nearer to what it wraps. How many times its limit it bridges at least.
_WRAP_LIMIT, _WRAP_PER_LIMIT = 0.05, 5.0


def scans_are_meshes(settings: Settings, folder: Path):
    """Only triangles are repaired and mirrored: a mesh's, or those of a STEP file's faces; a script is whole."""
    yield from _for_step_alone(settings)
    if comes_as_triangles(settings):
        return
    limit = f"a mesh (a file ending in {', '.join(MESH_ENDINGS)}), or a STEP file with steps of [repair]"
    remedy = "export the body as a mesh, or as STEP"
    for key in ("measured", "datum", "repair", "half"):
        given = getattr(settings, key)
        # Sewn faces are exact ones.
        sewn_only = key == "repair" and not given.asked and _is_step(settings)
        if given != type(settings).model_fields[key].default and not sewn_only:
            yield (key,), "", limit, remedy
    if settings.body.open:
        yield ("body", "open"), "true", f"{limit} or a STEP file of faces", "give the surface in a file"


def _is_step(settings: Settings) -> bool:
    return settings.body.file is not None and Path(settings.body.file).suffix.lower() in STEP_ENDINGS


def _for_step_alone(settings: Settings):
    if _is_step(settings):
        return
    limit, remedy = f"left out but for a file ending in {', '.join(STEP_ENDINGS)}", "take it out"
    if settings.repair.sew:
        yield ("repair", "sew"), f"{settings.repair.sew:g}", limit, remedy
    if settings.body.take is not None:
        yield ("body", "take"), str(settings.body.take), limit, remedy


def repair_keeps_the_limit(settings: Settings, folder: Path):
    """The steps are not asked to move the skin farther than the limit lets them, all together."""
    repair, deviation = settings.repair, settings.mesh.deviation
    asked = {key: getattr(repair, key) for key in ("sew", "weld", "smooth", "simplify") if getattr(repair, key)}
    if sum(asked.values()) > repair.limit:
        said = " + ".join(f"repair.{key} {value:g}" for key, value in asked.items())
        yield ("repair", "limit"), f"{repair.limit:g}", f"{said} or more", "allow more, or ask for less"
    if repair.envelope and settings.body.open:
        limit = "false for an open skin, which has no inside"
        yield ("repair", "envelope"), "true", limit, "close it (repair.holes) and cut it open again with an opening"
    if repair.wrap:
        yield from _wrap_rules(repair, settings)
    if repair.simplify > deviation:
        limit = f"at most mesh.deviation, {deviation:g}"
        yield ("repair", "simplify"), f"{repair.simplify:g}", limit, "allow more deviation, or ask for less"


def _wrap_rules(repair: RepairTable, settings: Settings):
    key, value = ("repair", "wrap"), f"{repair.wrap:g}"
    if settings.body.open:
        yield key, value, "0 for an open skin, which has no inside", "take out body.open, or the wrap"
    if repair.envelope:
        yield ("repair", "envelope"), "true", "false where a wrap is laid", "one of the two"
    free = repair.limit - repair.sew - repair.weld - repair.smooth - repair.simplify
    if free < _WRAP_LIMIT:
        must = f"{_WRAP_LIMIT:g} mm more than sew, weld, smooth and simplify take, for the wrap"
        yield ("repair", "limit"), f"{repair.limit:g}", must, "allow more, or ask for less"
    if repair.wrap < _WRAP_PER_LIMIT * repair.limit:
        must = f"at least {_WRAP_PER_LIMIT:g} times repair.limit, {repair.limit:g}"
        yield key, value, must, "a wider wrap, or a smaller limit"


def open_skins_have_an_outside(settings: Settings, folder: Path):
    """A direction is given for open skins only, and is one."""
    body = settings.body
    if body.outside is None:
        return
    if not any(body.outside):
        yield ("body", "outside"), str(body.outside), "a direction", "give one that is not all zero"
    if not body.open:
        yield ("body", "outside"), str(body.outside), "none for a closed body", "take it out, or set body.open"


def datum_is_whole(settings: Settings, folder: Path):
    """A datum says something, once, and does not come beside a shift."""
    datum = settings.datum
    if datum is None:
        return
    if any(settings.body.shift):
        yield ("body", "shift"), str(settings.body.shift), "all zero beside [datum]", "say it in the targets"
    if datum.centre and settings.half is not None:
        yield ("datum", "centre"), "true", "false for a half, which has no symmetry", "give targets with y = 0"
    if not datum.targets and not datum.centre:
        yield ("datum", "targets"), "[]", "targets, or centre = true", "name what is known"
    for index, target in enumerate(datum.targets):
        if target.x is None and target.y is None and target.z is None:
            yield ("datum", "targets", index), "", "x, y or z of the places", "say which vehicle coordinate they have"


def distances_are_distances(settings: Settings, folder: Path):
    """The two ends of a measured distance are two, and its name is its own."""
    yield from named_once(("measured",), (one.id for one in settings.measured))
    for index, one in enumerate(settings.measured):
        key = ("measured", index)
        if one.between[0] == one.between[1]:
            yield (*key, "between"), str(one.between), "two different places", "correct one of them"
