"""Do openings cut what they are meant to: through the skin, alike on both sides of a symmetric body, far enough?

A panel whose opening ended 2 mm past the skin lost its gap whole, with no finding, until ends were measured here.
"""

from __future__ import annotations

import numpy as np

from sections.body.body import OpeningSolid
from sections.errors import PARAMETERS, BadInput, Problem
from sections.numbers.mesh import Mesh
from sections.numbers.sampling import sample_surface
from sections.settings import Settings
from sections.settings.openings import Opening
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid

# mm3; less in common with the body is nothing; the part of an opening that may differ from its mirror image, by facets.
_NOTHING, _UNLIKE = 1.0, 0.02
# Places looked at on the skin; the cosine above which an opening's face lies along it; mm, spare.
_PLACES, _SEED, _ALONG, _SPARE = 20_000, 29, 0.9, 1.0


def refuse_openings(settings: Settings, openings: tuple[OpeningSolid, ...], skin: Mesh, block: Mesh) -> None:
    """Raise BadInput for openings that cut nothing where something is made along their edge, that a symmetric body has
    on one side only, or that end so near the skin that their faces cannot be moved as asked."""
    edged = {opening.id for opening in openings if opening.edge is not None or opening.panel is not None}
    asked = {one.id: (f"openings[{number}]", one) for number, one in enumerate(settings.openings, 1)}
    problems = []
    if edged or settings.body.symmetric:
        wholes = {opening.id: _whole(opening) for opening in openings}
        body = PrintSolid.of(block, "body")
        cut = {name: body.common(whole) for name, whole in wholes.items()}
        places = sample_surface(skin, _PLACES, _SEED)
        for opening in openings:
            key, table = asked[opening.given]
            if opening.id in edged and cut[opening.id].volume_mm3 < _NOTHING:
                limit = "an opening that meets the body"
                problems.append(Problem(PARAMETERS, key, opening.id, limit, "move it onto the body"))
                continue
            problems += _sides(key, opening, table, wholes[opening.id], cut, symmetric=settings.body.symmetric)
            problems += _ends(key, opening, table, wholes[opening.id], skin, places) if opening.id in edged else []
    if problems:
        raise BadInput(problems)


def _whole(opening: OpeningSolid) -> PrintSolid:
    """Return the opening as given, a panel's own place in it too."""
    return PrintSolid.of((opening.panel or opening).mesh, opening.id)


def _sides(
    key: str, opening: OpeningSolid, table: Opening, whole: PrintSolid, cut: dict[str, PrintSolid], *, symmetric: bool
) -> list[Problem]:
    """Return problems of an opening that is not the same on both sides of y = 0 where it should be, or lies on both
    where it should not. whole : the opening. cut : what each takes from the body, by id."""
    problems, own = [], cut[opening.id]
    # A panel's sections are mirrored with it, so its twin must be its own mirror image, or itself.
    others = list(cut.values()) if opening.panel is None else [own]
    if symmetric and not table.mirror and _one_sided(own, others):
        limit = "the same on both sides of y = 0, as body.symmetric says of the body"
        remedy = "set mirror = true, or body.symmetric = false"
        problems.append(Problem(PARAMETERS, key, opening.id, limit, remedy))
    low, high = whole.bounds[:, 1]
    if opening.panel is not None and table.mirror and low < _SPARE and high > -_SPARE:
        limit = "a panel on one side of y = 0, for its mirror image lies on the other"
        problems.append(Problem(PARAMETERS, f"{key}.mirror", opening.id, limit, "move it, or leave mirror out"))
    return problems


def _one_sided(own: PrintSolid, cut: list[PrintSolid]) -> bool:
    """Return whether what an opening cuts has no counterpart across y = 0."""
    if own.volume_mm3 < _NOTHING:
        return False
    return own.mirrored_y().cut(cut).volume_mm3 > max(_UNLIKE * own.volume_mm3, _NOTHING)


def _ends(
    key: str,
    opening: OpeningSolid,
    table: Opening,
    whole: PrintSolid,
    skin: Mesh,
    places: tuple[np.ndarray, np.ndarray],
) -> list[Problem]:
    """Return a problem where an opening ends less far past the skin, on either side, than its faces are moved.

    places : points on the skin and the face each lies on.
    """
    outer, inner = _moves(table)
    points, faces = places
    surface = MeshDistance(whole.mesh())
    inside = surface.depth(points) > 0
    if not inside.any():
        return []
    points, normals = points[inside], skin.normals[faces[inside]]
    for way, move, where in ((normals, outer, "outside"), (-normals, inner, "inside")):
        hit, length = surface.first_hit(points, way)
        along = np.abs(np.einsum("nj,nj->n", surface.mesh.normals[np.maximum(hit, 0)], normals)) > _ALONG
        short = along & (hit >= 0) & (length < move + _SPARE)
        if short.any():
            least = float(length[short].min())
            limit = f"{move + _SPARE:g} mm or more past the skin, {where}; now {least:.1f}"
            return [Problem(PARAMETERS, key, opening.id, limit, "make the opening's solid longer")]
    return []


def _moves(table: Opening) -> tuple[float, float]:
    """Return how far past the skin an opening must reach, mm: outside, and inside below all that is made in it."""
    if table.glass is not None:
        return table.glass.width, table.glass.width + table.glass.thickness + table.glass.bead + table.glass.flange
    rim = (table.rim.height, table.rim.thickness) if table.rim is not None else (0.0, 0.0)
    gap = table.panel.gap if table.panel is not None else 0.0
    return gap + rim[1], gap + rim[1] + rim[0]
