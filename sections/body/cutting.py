"""Do openings cut what they are meant to: through the skin, alike on both sides of a symmetric body, far enough?"""

from __future__ import annotations

import numpy as np

from sections.body.body import OpeningSolid
from sections.errors import PARAMETERS, BadInput, Problem
from sections.numbers.mesh import Mesh
from sections.numbers.sampling import sample_surface
from sections.settings import Settings
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid

# mm3; less in common with the body is nothing; the part of an opening that may differ from its mirror image, by facets.
_NOTHING, _UNLIKE = 1.0, 0.02
# Places looked at on the skin; the cosine above which an opening's face lies along it; mm, spare.
_PLACES, _SEED, _ALONG, _SPARE = 20_000, 29, 0.9, 1.0


def refuse_openings(settings: Settings, openings: tuple[OpeningSolid, ...], skin: Mesh, block: Mesh) -> None:
    """Raise BadInput for openings that cut nothing where something is made along their edge, that a symmetric body has
    on one side only, or that end so near the skin that their faces cannot be moved as asked."""
    problems = []
    solid = PrintSolid.of(block, "body")
    cut = [solid.common(_whole(opening)) for opening in openings]
    places = sample_surface(skin, _PLACES, _SEED) if any(_is_edged(opening) for opening in openings) else None
    given = {one.id: (index, one) for index, one in enumerate(settings.openings, 1)}
    for number, opening in enumerate(openings):
        index, table = given[opening.given]
        key = f"openings[{index}]"
        if _is_edged(opening) and cut[number].volume_mm3 < _NOTHING:
            limit = "an opening that meets the body"
            problems.append(Problem(PARAMETERS, key, opening.id, limit, "move it onto the body"))
            continue
        # A panel's sections are mirrored with it, so its twin must be its own mirror image, or itself.
        others = cut if opening.panel is None else [cut[number]]
        if settings.body.symmetric and not table.mirror and _one_sided(cut[number], others):
            limit = "the same on both sides of y = 0, as body.symmetric says of the body"
            remedy = "set mirror = true, or body.symmetric = false"
            problems.append(Problem(PARAMETERS, key, opening.id, limit, remedy))
        low, high = _whole(opening).bounds[:, 1]
        if opening.panel is not None and table.mirror and low < _SPARE and high > -_SPARE:
            limit = "a panel on one side of y = 0, for its mirror image lies on the other"
            problems.append(Problem(PARAMETERS, f"{key}.mirror", opening.id, limit, "move it, or leave mirror out"))
        if _is_edged(opening):
            problems += _ends(key, opening, table, skin, places)
    if problems:
        raise BadInput(problems)


def _is_edged(opening: OpeningSolid) -> bool:
    return opening.edge is not None or opening.panel is not None


def _whole(opening: OpeningSolid) -> PrintSolid:
    """Return the opening as given, a panel's own place in it too."""
    return PrintSolid.of((opening.panel or opening).mesh, opening.id)


def _one_sided(own: PrintSolid, cut: list[PrintSolid]) -> bool:
    """Return whether what an opening cuts has no counterpart across y = 0."""
    if own.volume_mm3 < _NOTHING:
        return False
    return own.mirrored_y().cut(cut).volume_mm3 > max(_UNLIKE * own.volume_mm3, _NOTHING)


def _ends(key: str, opening: OpeningSolid, table, skin: Mesh, places) -> list[Problem]:
    """Return a problem where an opening ends less far past the skin, on either side, than its faces are moved."""
    outer, inner = _moves(table)
    points, faces = places
    surface = MeshDistance(_whole(opening).mesh())
    inside = surface.depth(points) > 0
    if not inside.any():
        return []
    points, normals = points[inside], skin.normals[faces[inside]]
    for way, move, where in ((normals, outer, "outside"), (-normals, inner, "inside")):
        past = surface.first_hit(points, way)
        hit, length = past
        along = np.abs(np.einsum("nj,nj->n", surface.mesh.normals[np.maximum(hit, 0)], normals)) > _ALONG
        short = along & (hit >= 0) & (length < move + _SPARE)
        if short.any():
            least = float(length[short].min())
            limit = f"{move + _SPARE:g} mm or more past the skin, {where}; now {least:.1f}"
            return [Problem(PARAMETERS, key, opening.id, limit, "make the opening's solid longer")]
    return []


def _moves(table) -> tuple[float, float]:
    """Return how far past the skin an opening must reach, mm: outside, and inside below all that is made in it."""
    if table.glass is not None:
        return table.glass.width, table.glass.width + table.glass.thickness + table.glass.bead + table.glass.flange
    rim = (table.rim.height, table.rim.thickness) if table.rim is not None else (0.0, 0.0)
    gap = table.shut.gap if table.shut is not None else 0.0
    return gap + rim[1], gap + rim[1] + rim[0]
