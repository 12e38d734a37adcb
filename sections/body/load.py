"""From a file or a script to the Body."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from itertools import product
from pathlib import Path, PurePath

import numpy as np

from sections.body.body import Body, OpeningSolid
from sections.body.foreign import foreign_step
from sections.body.kept import made_once
from sections.body.misplaced import refuse_misplaced
from sections.body.opening_cuts import refuse_openings
from sections.body.openings import given_solids
from sections.body.seen_places import with_seen_shapes
from sections.body.source import (
    Source,
    finest_sound,
    finite_bounds,
    point_count,
    same_unit,
    sewn_as_asked,
    source_of_shape,
)
from sections.numbers.mesh import Mesh, join, shell_numbers
from sections.numbers.sampling import sample_surface
from sections.numbers.words import figures, place_words
from sections.results import Store, source_state
from sections.scan.block import block_behind, depth_behind
from sections.scan.mirror import made_symmetric, symmetrised
from sections.scan.prepare import Prepared, prepare
from sections.scan.sound_mesh import refuse
from sections.settings import Settings
from sections.settings.body import MM_PER
from sections.settings.narrow import narrowed
from sections.settings.rules_body import STEP_ENDINGS, axes_matrix, comes_as_triangles
from sections.solids.as_given import as_given
from sections.solids.crossing import doubtful_faces
from sections.solids.distance import Doubt, MeshDistance
from sections.solids.mesh_read import read_mesh
from sections.solids.soundness import FOLDS_PER_DEVIATION, boundary_flaws
from sections.solids.tessellate import tessellate

# The tables of the parameter file that a skin, before openings, is made from; and openings.
_SKIN = ("body", "mesh", "repair", "datum", "half", "measured", "dimensions")
_OPENINGS = ("openings", "mesh", "dimensions")


def load_body(settings: Settings, folder: Path, store: Store | None = None) -> Body:
    """Return the body `settings` describe; paths are relative to `folder`. store : where what is made of files and
    scripts is kept from run to run; None for no place. Raises BadInput."""
    body = settings.body
    source = _source(settings, folder, store)
    skin, notes = source.skin, list(source.notes)
    settings = with_seen_shapes(settings, folder, MeshDistance(skin))
    openings = _openings(settings, folder, store)
    what = body.file or body.script
    size = " x ".join(f"{extent:.1f}" for extent in skin.size)
    notes.insert(0, f"body {PurePath(what).name}: {size} mm, {len(skin)} triangles")
    notes += [] if body.open else _hollow(skin)
    block, border = _behind(skin, settings, what, notes) if body.open else (skin, None)
    refuse_openings(settings, openings, skin, block)
    doubt = Doubt(doubtful_faces(skin), block)
    return Body(skin, block, border, doubt, openings, source.points, tuple(notes), source.exact, source.given)


def body_bounds(settings: Settings, folder: Path, store: Store | None = None) -> np.ndarray:
    """Return the bounds, (2, 3) mm in the vehicle frame, of the skin that `load_body` makes. Raises BadInput."""
    return _source(settings, folder, store).skin.bounds


def _source(settings: Settings, folder: Path, store: Store | None) -> Source:
    """Return the skin, and where it came from; refuse what misses it, also where it was made before."""
    own, body, asked = narrowed(settings, _SKIN), settings.body, []

    def refuse_what_misses(bounds: np.ndarray) -> None:
        refuse_misplaced(settings, bounds)
        asked.append(bounds)

    def made() -> tuple[Source, list[np.ndarray]]:
        source = (_from_mesh if comes_as_triangles(own) else source_of_shape)(own, folder, refuse_what_misses)
        return (_symmetric(source, own) if body.symmetric else source), asked

    named = body.file or body.script.partition(":")[0]
    source, bounds = made_once(store, "body-read", (own, str(folder), source_state(named, folder)), made)
    for one in bounds if not asked else ():
        refuse_misplaced(settings, one)
    return source


def _symmetric(source: Source, settings: Settings) -> Source:
    """Return a source with its skin made its own mirror image in y = 0."""
    body = settings.body
    what = body.file or body.script
    skin, off = symmetrised(source.skin, source.points, settings.mesh.deviation, what)
    if not body.open:
        refuse(boundary_flaws(skin), what)
    note = f"symmetric in y = 0: halves differ by at most {off:.3f} mm"
    return replace(source, skin=skin, notes=(*source.notes, note))


def _openings(settings: Settings, folder: Path, store: Store | None) -> tuple[OpeningSolid, ...]:
    """Return the openings' solids. settings : with all of them in their places."""
    own = narrowed(settings, _OPENINGS)
    solids = [one for one in settings.openings if one.kind == "solid"]
    named = [one.file or one.script.partition(":")[0] for one in solids]
    given = own, str(folder), [source_state(name, folder) for name in named]
    return made_once(store, "openings-read", given, lambda: given_solids(own, "openings", folder))


def _hollow(skin: Mesh) -> list[str]:
    """Say that a body is hollow already, a line for each inner surface of its skin."""
    number = shell_numbers(skin)
    volumes = skin.shell_volumes(number)
    said = []
    for shell in np.flatnonzero(volumes < 0) if volumes.max() > 0 else ():
        place = place_words(skin.submesh(number == shell).bounds.mean(0))
        litres = -volumes[shell] / 1e6
        said.append(f"hollow already: {litres:.3g} l inside, about {place}; give the outer form alone, solid")
    return said


def _behind(skin: Mesh, settings: Settings, what: str, notes: list[str]) -> tuple[Mesh, Mesh]:
    """Return (the block behind an open skin, deep enough for its flanges; its border)."""
    depth = depth_behind(settings.flange.height, settings.wall.thickness, settings.mesh.pitch)
    made = block_behind(skin, depth, settings.mesh.deviation / FOLDS_PER_DEVIATION, what)
    least = f"{made.least:.1f} mm deep at the tightest place, {made.median:.1f} as a rule"
    ragged = f"; {figures(made.trimmed)} mm2 of ragged rim cut off" if made.trimmed else ""
    notes.append(f"open skin: wall and flanges are laid in a block behind it, {least}{ragged}")
    if not settings.body.symmetric:
        return made.mesh, made.border
    block = made_symmetric(made.mesh, what)
    refuse(boundary_flaws(block), what)
    return block, join([made.border, made.border.mirrored_y()])


def prepared_skin(settings: Settings, folder: Path) -> Prepared:
    """Return what the mesh, or the STEP file taken as triangles, that `settings` name becomes. Raises BadInput."""
    return _prepared_skin(settings, folder, partial(refuse_misplaced, settings))


def _prepared_skin(settings: Settings, folder: Path, look: Callable[[np.ndarray], None]) -> Prepared:
    """Return what `prepared_skin` does. look : asked of the body's bounds, (2, 3) mm, as soon as they are known."""
    body = settings.body
    path = folder / body.file
    if path.suffix.lower() in STEP_ENDINGS:
        return _prepared_step(settings, path, look)
    mesh, stated = read_mesh(path)
    same_unit(stated, body.units, path)
    given = Mesh(mesh.vertices * MM_PER[body.units], mesh.faces)
    _look_at(settings, given.vertices, look)
    return prepare(given, settings, path)


def _prepared_step(settings: Settings, path: Path, look: Callable[[np.ndarray], None]) -> Prepared:
    """Return what a STEP file's faces become, triangulated at the size they will be built at."""
    body, deviation = settings.body, settings.mesh.deviation
    shape, stated = foreign_step(path, body.take)
    same_unit(stated, body.units, path)
    _look_at(settings, np.array(list(product(*finite_bounds(shape, body.file).T))), look)
    # OCC has brought the file to millimetres; `prepare` scales triangles.
    made = sewn_as_asked(shape, settings.repair.sew, body.scale, body.file)

    def triangulated(coarse: float) -> Prepared:
        return prepare(tessellate(made.shape, deviation / body.scale, body.file, coarse).mesh, settings, path)

    prepared = finest_sound(triangulated, deviation, body.file)
    return replace(prepared, lines=(*made.notes, *prepared.lines))


def _look_at(settings: Settings, points: np.ndarray, look: Callable[[np.ndarray], None]) -> None:
    """Look at a body from its points, or the corners of its bounds, (n, 3) mm, in its own axes and at its own scale."""
    if settings.datum is None and settings.half is None:
        body = settings.body
        placed = body.scale * points @ axes_matrix(body.axes).T + np.asarray(body.shift)
        look(np.array([placed.min(0), placed.max(0)]))


def _from_mesh(settings: Settings, folder: Path, look: Callable[[np.ndarray], None]) -> Source:
    made = _prepared_skin(settings, folder, look)
    points, _ = sample_surface(made.skin, point_count(made.skin), seed=11)
    as_it_came = not made.spent and len(made.skin) == len(made.given)
    allowed = max(settings.repair.limit, made.spent)
    given = None if as_it_came else as_given(made.given, allowed, made.unwanted)
    return Source(made.skin, points, made.lines, given=given)
