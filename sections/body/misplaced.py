"""Seams, openings and bosses that miss the body: seen from its bounds alone, before anything long is begun."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations, product

import numpy as np

from sections.errors import PARAMETERS, BadInput, Problem
from sections.settings import Settings
from sections.settings.body import MM_PER
from sections.settings.openings import AnyOpening
from sections.settings.rules_body import axes_matrix
from sections.settings.rules_seams import unit_normal
from sections.settings.shapes import Box, Cylinder, Profile

_AXES = ("x", "y", "z")
# So many diagonals of the bed long no section was meant to be.
_BEDS = 3.0
# mm; the longest body taken, as long as the longest that drives on a road without a trailer (directive 96/53/EC: 12 m,
# from memory); the shortest that a larger one's unit is guessed by.
LONGEST, SHORTEST = 12_000.0, 300.0


def refuse_misplaced(settings: Settings, bounds: np.ndarray) -> None:
    """Raise BadInput for what misses the body's bounds, (2, 3) mm in the vehicle frame: a seam that cuts nothing, an
    opening beside the body, a boss outside. Where more than one misses it, or all of them do, and another unit or
    other axes would bring all of them onto it, that is the remedy; so it is where the body is far larger than its seams
    part it for the bed."""
    missing = list(_missing(settings, bounds))
    large = _far_too_long(settings, bounds)
    given = len(settings.seams.planes) + len(settings.openings) + len(settings.bosses)
    as_a_whole = len(missing) > 1 or len(missing) == given
    remedy = _unit(settings, bounds) if large or (missing and as_a_whole) else None
    if missing:
        remedy = remedy or (_other_axes(settings, bounds) if as_a_whole else None)
    elif remedy:
        limit = f"a unit in which the seams part the body for the bed, not {large}"
        missing = [("body.units", settings.body.units, limit, remedy)]
    if not missing:
        _refuse_too_large(settings, bounds)
        return
    size = " x ".join(f"{length:.0f}" for length in bounds[1] - bounds[0])
    raise BadInput([
        Problem(PARAMETERS, key, value, f"{limit}; the body is {size} mm", remedy or own)
        for key, value, limit, own in missing
    ])  # fmt: skip


def seams_near_ends(settings: Settings, bounds: np.ndarray) -> list[str]:
    """Return a line for each seam so near an end of the body's bounds, (2, 3) mm, that wall and flange have no room
    there."""
    least, lines = settings.flange.thickness + settings.wall.thickness, []
    for plane in settings.seams.planes:
        near = float(np.abs(np.sort(bounds * unit_normal(plane), axis=0).sum(1) - plane.at).min())
        if near < least and not plane.within and plane.panel is None:
            need = f"wall and flange need {least:g} there: move it in"
            lines.append(f"seam {plane.id} lies {near:.1f} mm from the body's end; {need}")
    return lines


def _refuse_too_large(settings: Settings, bounds: np.ndarray) -> None:
    """Raise BadInput for a body that would take more memory than any machine has: nothing that drives is so long."""
    longest = float((bounds[1] - bounds[0]).max())
    if longest <= LONGEST:
        return
    own = MM_PER[settings.body.units]
    fit = [unit for unit, mm in MM_PER.items() if SHORTEST <= longest * mm / own <= LONGEST]
    remedy = " or ".join(f'"{unit}"' for unit in fit) + " would make sense" if fit else "a smaller body.scale"
    limit = f"a unit and a body.scale that make it no longer than {LONGEST:g} mm; it is {longest:.4g} mm long"
    raise BadInput([Problem(PARAMETERS, "body.units", settings.body.units, limit, remedy)])


def _far_too_long(settings: Settings, bounds: np.ndarray) -> str | None:
    """Return in words the longest way along an axis that no given seam parts, where that is many beds long."""
    planes, printers = settings.seams.planes, settings.printers or [settings.printer]
    if settings.seams.mode != "given" or not planes:
        return None
    bed = max(float(np.linalg.norm(printer.bed)) for printer in printers)
    for axis, name in enumerate(_AXES):
        cuts = [plane.at for plane in planes if plane.axis == name and bounds[0, axis] < plane.at < bounds[1, axis]]
        longest = float(np.diff([bounds[0, axis], *sorted(cuts), bounds[1, axis]]).max())
        if longest > _BEDS * bed:
            return f"{longest:.0f} mm in one along {name}"
    return None


def _missing(settings: Settings, bounds: np.ndarray) -> Iterator[tuple[str, str, str, str]]:
    """Yield (key, value, what it must be, what to change) for what misses the bounds."""
    low, high = bounds
    for number, plane in enumerate(settings.seams.planes, 1):
        ends = np.sort(bounds * unit_normal(plane), axis=0).sum(1)
        if not ends[0] < plane.at < ends[1]:
            limit = f"between {_words(ends).replace(', ', ' and ')}: a seam cuts the body"
            yield f"seams.planes[{number}].at", f"{plane.at:g}", limit, "move the seam, or take it out"
    for number, opening in enumerate(settings.openings, 1):
        reach = _reach(opening)
        if reach is not None and ((reach[1] < low) | (reach[0] > high)).any():
            yield f"openings[{number}]", opening.id, "an opening that meets the body", "move it onto the body"
    for number, boss in enumerate(settings.bosses, 1):
        if boss.at is None:
            continue
        at = np.asarray(boss.at)
        if (at < low).any() or (at > high).any():
            limit = f"a mouth inside the body, from ({_words(low)}) to ({_words(high)}); it is at ({_words(at)})"
            yield f"bosses[{number}].at", boss.id, limit, "move it into the body"


def _reach(opening: AnyOpening) -> np.ndarray | None:
    """Return bounds, (2, 3) mm, that hold an opening given by its dimensions; None for one that a file gives."""
    if isinstance(opening, Box):
        return np.array([opening.low, opening.high])
    if isinstance(opening, Cylinder):
        if opening.centre is None:
            return None
        around = np.hypot(opening.radius, opening.length / 2)
        return np.array([np.asarray(opening.centre) - around, np.asarray(opening.centre) + around])
    if isinstance(opening, Profile):
        along = _AXES.index(opening.along)
        corners = np.array(opening.points)
        reach = np.empty((2, 3))
        reach[:, [axis for axis in range(3) if axis != along]] = corners.min(0), corners.max(0)
        reach[:, along] = opening.start, opening.stop
        return reach
    return None


def _unit(settings: Settings, bounds: np.ndarray) -> str | None:
    """Return in words the unit with which nothing would miss the body, None where none would do."""
    body, shift = settings.body, np.asarray(settings.body.shift)
    for unit, size in MM_PER.items():
        other = (bounds - shift) * size / MM_PER[body.units] + shift
        wrong = unit == body.units or list(_missing(settings, other)) or _far_too_long(settings, other)
        if not wrong:
            return f'set body.units = "{unit}": all of them lie on the body then'
    return None


def _other_axes(settings: Settings, bounds: np.ndarray) -> str | None:
    """Return in words the axes with which nothing would miss the body, None where none would do."""
    shift = np.asarray(settings.body.shift)
    given = axes_matrix(settings.body.axes).T @ (bounds - shift).T
    for order, signs in product(permutations(range(3)), product((1, -1), repeat=3)):
        matrix = np.eye(3)[list(order)] * np.array(signs)[:, None]
        other = np.sort((matrix @ given).T, axis=0) + shift
        if np.linalg.det(matrix) > 0 and not list(_missing(settings, other)):
            rear, right, up = ("-" * (sign < 0) + _AXES[axis] for axis, sign in zip(order, signs, strict=True))
            return f'set body.axes = {{ rear = "{rear}", right = "{right}", up = "{up}" }}: all of them lie on it then'
    return None


def _words(point: np.ndarray) -> str:
    return ", ".join(str(round(float(value))) for value in point)
