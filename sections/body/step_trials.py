"""A STEP file as `inspect` looks at it: its parts, what sewing or taking a part makes of it, triangles of that."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from OCP.TopoDS import TopoDS_Shape

from sections.body.foreign import PartLine, foreign_parts, foreign_step
from sections.body.misplaced import LONGEST
from sections.body.source import COARSE, finite_bounds, source_of_solids
from sections.errors import BadInput, BuildFailed
from sections.numbers.mesh import Mesh
from sections.solids.crossing import crossing_faces
from sections.solids.sewing import Boundaries, sewn
from sections.solids.soundness import FOLDS_PER_DEVIATION
from sections.solids.step_read import transformed
from sections.solids.tessellate import tessellate

# mm, at the built size: how close edges may be that are tried to be joined.
_SEWN = (0.01, 0.1, 0.5, 2.0)
# Times the deviation asked for: faces that meet in an edge like a knife's pass through one another where triangles are
# fine, and no longer where a fold that deep is let be.
_COARSER = (1.0, 3.0)
# A body too long to be built is looked at with triangles no finer than this part of its length.
_FINEST = 8_000.0
# Parts listed; names of each.
_SHOWN, _NAMES = 12, 4
# Names that a kernel gives what has none.
_NO_NAME = re.compile(r"[\d.]*|Open CASCADE STEP translator.*")


@dataclass(frozen=True)
class Look:
    """What was seen. mesh : triangles at the built size, mm, in the file's axes. unit : the file states. lines : to be
    read. body, mesh_keys : keys that [body] and [mesh] of the parameter file need for it to be so. sew : mm, repair.sew
    that it needs, 0 for none. deviation : mm, of the triangles."""

    mesh: Mesh
    unit: str
    lines: tuple[str, ...]
    body: tuple[str, ...] = ()
    sew: float = 0.0
    mesh_keys: tuple[str, ...] = ()
    deviation: float = 0.1


def look_at_step(path: Path, scale: float, deviation: float) -> Look:
    """Look at a STEP file. scale : body.scale of the build it is for. deviation : mm, of the triangles at that size;
    coarser for what is too long to be built.

    Raises BadInput for a file that cannot be read.
    """
    parts = foreign_parts(path)
    shape, unit = foreign_step(path)
    longest = scale * float(np.ptp(finite_bounds(shape, path.name), axis=0).max())
    deviation = max(deviation, longest / _FINEST if longest > LONGEST else 0.0)
    found = Boundaries.of(shape)
    lines = [f"in the file: {found}", *_part_lines(parts, scale)]
    if not found.are_closed:
        whole = [number for number, part in enumerate(parts, 1) if part.kind == "solid"]
        closed, tolerance = _best_sewn(shape, scale)
        if whole and not Boundaries.of(closed).are_closed:
            lines.append(f"looked at: its solids (parts {', '.join(map(str, whole))}); the rest does not close")
            look = _triangles(foreign_step(path, list(whole))[0], scale, deviation, path.name)
            return replace(look, unit=unit, lines=(*lines, *look.lines), body=(f"take = {whole}",))
        if tolerance:
            lines.append(f"sewn at {tolerance:g} mm it is {Boundaries.of(closed)}")
            look = _triangles(closed, scale, deviation, path.name)
            return replace(look, unit=unit, lines=(*lines, *look.lines), sew=tolerance)
    look = _triangles(shape, scale, deviation, path.name)
    return replace(look, unit=unit, lines=(*lines, *look.lines))


def _part_lines(parts: list[PartLine], scale: float) -> list[str]:
    """Return the parts, a line each; of many without names only how many there are."""
    called = [[name for name in part.names if not _NO_NAME.fullmatch(name)] for part in parts]
    if len(parts) == 1 or not (any(called) or any(part.kind == "solid" for part in parts)):
        return []
    lines = []
    for number, (part, names) in enumerate(zip(parts[:_SHOWN], called, strict=False), 1):
        size = " x ".join(f"{extent * scale:.1f}" for extent in part.size)
        name = ", ".join(repr(one) for one in names[-_NAMES:])
        layers = f"; layer {', '.join(repr(one) for one in part.layers)}" if part.layers else ""
        lines.append(f"part {number}: {part.kind}, {size} mm; {name or 'no name'}{layers}")
    if len(parts) > _SHOWN:
        lines.append(f"and {len(parts) - _SHOWN} more parts")
    return lines


def _best_sewn(shape: TopoDS_Shape, scale: float) -> tuple[TopoDS_Shape, float]:
    """Return (the shape sewn at the least tolerance that closes it, else leaves the fewest edges; that, 0 for none)."""
    best, fewest = (shape, 0.0), np.inf
    for tolerance in _SEWN:
        made = sewn(shape, tolerance / scale)
        if made.joined and len(made.left) < fewest:
            best, fewest = (made.shape, tolerance), len(made.left)
        if not len(made.left):
            break
    return best


def _triangles(shape: TopoDS_Shape, scale: float, deviation: float, what: str) -> Look:
    """Return a shape as a build takes it: solids healed and united where that gives a sound skin, else triangles of the
    coarsest start whose faces do not pass through one another."""
    if Boundaries.of(shape).are_closed:
        try:
            source = source_of_solids(transformed(shape, np.eye(3), np.zeros(3), scale), deviation, what)
            return Look(source.skin, "", source.notes, deviation=deviation)
        except BadInput as refused:
            why = (f"as exact solids it is refused: {refused.problems[0].limit}",)
    else:
        why = ()
    mesh = Mesh(np.empty((0, 3)), np.empty((0, 3), np.int64))
    for coarser in _COARSER:
        allowed = coarser * deviation
        for coarse in COARSE:
            try:
                made = tessellate(shape, allowed / scale, what, coarse).mesh
            except BuildFailed:
                # As a build does it: a finer start may keep the deviation.
                continue
            mesh = Mesh(made.vertices * scale, made.faces)
            if not len(crossing_faces(mesh, allowed / FOLDS_PER_DEVIATION)):
                keys = (f"deviation = {allowed:g}",) if coarser > 1 else ()
                return Look(mesh, "", why, mesh_keys=keys, deviation=allowed)
    return Look(mesh, "", why, deviation=allowed)
