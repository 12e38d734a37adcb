"""A wrap laid around what no other step makes sound, and what it bridged or left inside, in words."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sections.errors import BadInput, BuildFailed, Problem
from sections.numbers.halve import number_edges
from sections.numbers.mesh import Mesh, shell_count, shell_numbers, weld_exact, without_fragments
from sections.numbers.self_contact import taken_apart
from sections.numbers.words import figures, place_words
from sections.solids.crossing import crossing_faces
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid
from sections.solids.simplifying import fewer_triangles, nicked
from sections.solids.wrapping import NoInside, distance_to_wrap, wrapped

# What part of repair.limit the wrap may be off by; by what parts of it fewer triangles are tried, in turn.
_OFF, _FEWER = 0.6, (0.2, 0.05, 0.01)
# mm; folds are cut out so wide, in turn. mm3, of what comes off then.
_NICKS, _FRAGMENT = (0.05, 0.1, 0.2), 1.0
_SHOWN = 4


@dataclass(frozen=True)
class Wrap:
    """A skin. bridged : (m,) its faces that bridge gaps. inside : (k,) faces of the soup that it leaves inside."""

    mesh: Mesh
    bridged: np.ndarray
    inside: np.ndarray
    text: str


def wrap_of(soup: Mesh, gap: float, limit: float, fold: float, what: str) -> Wrap:
    """Return the skin around a soup. gap : mm, narrower holes are bridged. limit : mm, elsewhere it is no further off.

    Raises BadInput where the soup is a sheet with open space on both sides, or a part of it stands out of the wrap.
    """
    try:
        made = wrapped(soup, gap, _OFF * limit, fold)
    except NoInside as error:
        remedy = "a wider wrap, that closes what it is open at; or body.open = true for a panel"
        raise BadInput([Problem(what, "repair.wrap", f"{gap:g}", f"skin with an inside; {error}", remedy)]) from None
    except BuildFailed as error:
        raise BadInput(
            [Problem(what, "repair.wrap", f"{gap:g}", str(error), "a wider wrap, or check body.units")]
        ) from None
    skin, depth = _of_fewer_triangles(made, soup, limit, fold, what)
    _refuse_what_stands_out(soup, depth, limit, gap, what)
    inside = depth.max(1) > limit
    source = MeshDistance(soup)
    off = source.unsigned(skin.triangles.mean(1))
    corners = source.unsigned(skin.vertices)[skin.faces].max(1)
    bridged = np.maximum(off, corners) > limit
    return Wrap(skin, bridged, inside, _words(soup, skin, bridged, off, inside))


def _of_fewer_triangles(made: Mesh, soup: Mesh, limit: float, fold: float, what: str) -> tuple[Mesh, np.ndarray]:
    """Return (a wrap of as few triangles as leave it sound around all of a soup, as it is where none do; how deep below
    it the soup lies, as of `_depths`).

    A wrap runs out in films without thickness where the soup nearly touches itself. Of few triangles they are folds:
    for five of them a body kept all its 110 000 triangles, and of a film that no print file holds, its sections showed
    no skin. So they are cut out, and so is an edge in which faces of a film lie on one another.
    """
    solid = PrintSolid.of(made, what)
    for part in _FEWER:
        fewer = _without_folds(fewer_triangles(solid, part * limit).mesh(), fold, what)
        if fewer is None:
            continue
        depth = _depths(soup, fewer)
        if -depth.min() <= limit:
            return fewer, depth
    return made, _depths(soup, made)


def _without_folds(mesh: Mesh, fold: float, what: str) -> Mesh | None:
    """Return a closed mesh less the folds in it; None where cutting them out leaves others, or parts it."""
    shells = shell_count(mesh)
    for wide in (*_NICKS, None):
        folds = _folds(mesh, fold)
        if not len(folds):
            return mesh if shell_count(mesh) == shells else None
        if wide is not None:
            mesh = without_fragments(nicked(mesh, folds, wide, what), _FRAGMENT)
    return None


def _folds(mesh: Mesh, fold: float) -> np.ndarray:
    """Return what is to be cut out of a closed mesh, (n, 3, 3) mm: triangles that pass through others, and edges of
    more than two faces that cannot be taken apart, their second end twice."""
    skin = taken_apart(weld_exact(mesh)).mesh
    edges = number_edges(skin.faces, len(skin.vertices))
    shared = edges.ends[edges.uses > 2][:, [0, 1, 1]]
    return np.concatenate([mesh.triangles[crossing_faces(mesh, fold)], skin.vertices[shared]])


def _places(soup: Mesh) -> np.ndarray:
    """Return the corners and the middle of each triangle of a soup, (k, 4, 3) mm."""
    return np.concatenate([soup.triangles, soup.triangles.mean(1)[:, None]], axis=1)


def _depths(soup: Mesh, skin: Mesh) -> np.ndarray:
    """Return how deep below a skin the places of a soup lie, (k, 4) mm; less than 0 outside it."""
    return distance_to_wrap(skin).depth(_places(soup).reshape(-1, 3)).reshape(-1, 4)


def _refuse_what_stands_out(soup: Mesh, depth: np.ndarray, limit: float, gap: float, what: str) -> None:
    """Raise BadInput for a soup of which a place lies further outside its wrap than `limit` mm."""
    face, place = np.unravel_index(depth.argmin(), depth.shape)
    if -depth[face, place] > limit:
        must = f"skin around all of it; {-depth[face, place]:.3g} mm of it would stand out at "
        at = place_words(_places(soup)[face, place])
        raise BadInput([Problem(what, "repair.wrap", f"{gap:g}", must + at, "a larger repair.limit, or another wrap")])


def _words(soup: Mesh, skin: Mesh, bridged: np.ndarray, off: np.ndarray, inside: np.ndarray) -> str:
    area, whole = float(skin.areas_mm2[bridged].sum()), float(skin.areas_mm2.sum())
    text = f"{len(soup)} triangles wrapped by {len(skin)}"
    if bridged.any():
        part = skin.submesh(bridged)
        shells = shell_numbers(part)
        areas = np.bincount(shells, part.areas_mm2)
        order = np.argsort(-areas)
        most = [int(np.argmax(np.where(shells == number, off[bridged], -1.0))) for number in order[:_SHOWN]]
        places = "; ".join(
            f"{figures(areas[number])} mm2 at {place_words(part.triangles[face].mean(0))}"
            for number, face in zip(order, most, strict=False)
        )
        text += (
            f", of whose {figures(whole)} mm2 {figures(area)} bridge gaps in {len(areas)} places, at most "
            f"{off[bridged].max():.3g} mm off: {places}{' ...' if len(areas) > _SHOWN else ''}"
        )
    if inside.any():
        lost = soup.submesh(inside)
        largest = int(lost.areas_mm2.argmax())
        text += (
            f"; inside it and left out: {int(inside.sum())} triangles, {figures(lost.areas_mm2.sum())} mm2, "
            f"the largest at {place_words(lost.triangles[largest].mean(0))}"
        )
    return text
