"""Contradictions in [body] and [[openings]]."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from sections.settings.body import Axes
from sections.settings.model import Settings
from sections.settings.named import named_once
from sections.settings.places import given_once
from sections.settings.plain_text import is_plain_file
from sections.settings.shapes import Box, Cylinder, Own, Profile

STEP_ENDINGS, MESH_ENDINGS = (".step", ".stp"), (".stl", ".obj", ".ply", ".3mf")
BODY_ENDINGS = STEP_ENDINGS + MESH_ENDINGS


def comes_as_triangles(settings: Settings) -> bool:
    """Return whether a body is triangles to be set, repaired and mirrored: a mesh, or a STEP file that is open or to be
    repaired, whose faces are triangulated first."""
    body = settings.body
    if body.file is None:
        return False
    return body.open or Path(body.file).suffix.lower() in MESH_ENDINGS or settings.repair.asked


def axes_matrix(axes: Axes) -> np.ndarray:
    """Return the (3, 3) matrix that takes the file's axes to the vehicle frame, det +1 when proper."""
    rows = []
    for name in (axes.rear, axes.right, axes.up):
        row = np.zeros(3)
        row["xyz".index(name[-1])] = -1.0 if name[0] == "-" else 1.0
        rows.append(row)
    return np.array(rows)


def body_source(settings: Settings, folder: Path):
    """The body comes from one place, and that place exists."""
    body = settings.body
    yield from _one_source(("body",), body.file, body.script, folder)


def _one_source(key, file, script, folder):
    if (file is None) == (script is None):
        yield key, "", "exactly one of `file` and `script`", "name the file to read, or the callable to run"
        return
    if script is not None:
        yield from _script(key, script, folder)
        return
    path = folder / file
    if path.suffix.lower() not in BODY_ENDINGS:
        yield (
            (*key, "file"),
            repr(file),
            f"a name ending in {', '.join(BODY_ENDINGS)}",
            "export it in one of these",
        )
    elif not is_plain_file(path):
        yield (
            (*key, "file"),
            repr(file),
            f"a file that exists beside the parameter file ({path})",
            "correct the name",
        )


def _script(key, script, folder):
    name, _, callable_name = script.partition(":")
    if not callable_name.isidentifier() or not name.endswith(".py"):
        yield (*key, "script"), repr(script), '"file.py:callable"', "name the file, a colon, and the callable"
    elif not is_plain_file(folder / name):
        yield (*key, "script"), repr(script), f"a file that exists ({folder / name})", "correct the name"


def frame_is_proper(settings: Settings, folder: Path):
    """The axes turn the body; they never mirror it."""
    matrix = axes_matrix(settings.body.axes)
    axes = settings.body.axes
    said = f"rear={axes.rear} right={axes.right} up={axes.up}"
    if abs(np.linalg.det(matrix)) < 0.5:
        yield ("body", "axes"), said, "three different axes", "name x, y and z once each"
    elif np.linalg.det(matrix) < 0:
        yield (
            ("body", "axes"),
            said,
            "a rotation: as given it would mirror the body",
            "turn the sign of one axis",
        )


def solids_make_sense(settings: Settings, folder: Path):
    """Every opening, and all that is kept off, has a volume, one source, and a name of its own."""
    yield from _solids_make_sense("openings", settings.openings, folder)
    yield from _solids_make_sense("keepouts", settings.keepouts, folder)


def _solids_make_sense(table: str, solids: list, folder: Path):
    yield from named_once((table,), (one.id for one in solids))
    for index, opening in enumerate(solids):
        key = (table, index)
        if isinstance(opening, Box):
            for axis, low, high in zip("xyz", opening.low, opening.high, strict=True):
                if high <= low:
                    yield (
                        (*key, "high"),
                        f"{axis} {high:g}",
                        f"more than low, {axis} {low:g}",
                        "swap or correct them",
                    )
        elif isinstance(opening, Cylinder):
            yield from _cylinder(key, opening)
        elif isinstance(opening, Profile):
            yield from _profile(key, opening)
        elif isinstance(opening, Own):
            yield from _one_source(key, opening.file, opening.script, folder)


def _cylinder(key, bar: Cylinder):
    yield from given_once(key, "centre", bar.centre, bar.seen)
    if bar.axis is None and bar.seen is None:
        yield (*key, "axis"), "", "given with `centre`", "give the direction of the bar"
    if bar.axis is not None and np.linalg.norm(bar.axis) < 1e-9:
        yield (*key, "axis"), str(bar.axis), "a direction", "give one that is not all zero"


def openings_are_edged(settings: Settings, folder: Path):
    """Rims reach below the wall, a pane and a panel do not share an opening, and what is edged has faces to offset."""
    for index, opening in enumerate(settings.openings):
        key = ("openings", index)
        if opening.glass is not None and opening.panel is not None:
            yield (*key, "panel"), opening.id, "a pane or a panel in one opening, not both", "leave one of the two out"
        if opening.glass is not None and opening.rim is not None:
            yield (*key, "rim"), opening.id, "none with `glass`, which brings its own", "set glass.flange instead"
        if opening.rim is not None and opening.rim.height <= settings.wall.thickness:
            limit = f"more than wall.thickness, {settings.wall.thickness:g}"
            yield (*key, "rim", "height"), f"{opening.rim.height:g}", limit, "raise it, or leave the rim out"
        known = [plane.id for plane in settings.seams.planes]
        for name in (opening.panel and opening.panel.seams) or []:
            if name not in known and settings.seams.mode == "given":
                yield (*key, "panel", "seams"), repr(name), f"one of {', '.join(known) or 'none'}", "correct the name"
        edged = opening.rim is not None or opening.glass is not None or opening.panel is not None
        file = getattr(opening, "file", None)
        if edged and file is not None and Path(file).suffix.lower() in MESH_ENDINGS:
            yield (
                (*key, "file"),
                repr(file),
                "STEP, a script or a shape, to be edged",
                "export it as STEP",
            )


def _profile(key, opening: Profile):
    from shapely import Polygon

    if opening.stop <= opening.start:
        yield (*key, "stop"), f"{opening.stop:g}", f"more than start, {opening.start:g}", "swap or correct them"
    outline = Polygon(opening.points)
    if not outline.is_valid or outline.area < 1e-6:
        yield (
            (*key, "points"),
            f"{len(opening.points)} points",
            "an outline that does not cross itself",
            "fix it",
        )
    elif opening.corner > 0 and outline.buffer(-opening.corner).is_empty:
        yield (*key, "corner"), f"{opening.corner:g}", "a radius the outline has room for", "make it smaller"
