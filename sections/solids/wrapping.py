"""A closed skin around any soup of triangles, as a ball rolled over it from outside sees it.

CGAL wraps the soup (alpha wrapping with an offset: Portaneri et al., ACM TOG 41(4), 2022), which is closed and crosses
itself nowhere, but lies an offset outside and cuts edges off. Here it is laid onto the soup again: corners go to the
nearest place of it, edges across a crease get a corner where the two planes beside it meet, and what bridges a gap is
drawn tight between what does not.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import coo_matrix, diags
from scipy.sparse.linalg import spsolve
from scipy.spatial import cKDTree

from sections.errors import BuildFailed
from sections.numbers.halve import EdgeNumbers, Halved, halve, number_edges
from sections.numbers.mesh import Mesh, in_file_numbers, weld_exact
from sections.solids.alpha_wrap import alpha_wrap
from sections.solids.crossing import crossing_faces, doubtful_faces
from sections.solids.distance import Doubt, MeshDistance, corner_normals
from sections.solids.soundness import crossings, edge_flaws

# The offset, as a part of the gap, as little as the wrap still takes in its stride; and of what it may be off.
_OFFSET, _OF_OFF = 1 / 25, 0.8
# A wrap with less than this part of the offset that would do is laid more loosely first, a sixth of the work, to see
# whether it goes around sheets.
_CLOSE = 0.5
# A corner this much further off than the offset bridges something, unless the nearest place lies straight below it.
_ON_OFFSET, _STRAIGHT = 1.02, 0.6
# Rounds of halving edges; the part of what is allowed that is worth one.
_ROUNDS, _WORTH = 6, 0.25
# A face is turned over whose normal's cosine with what it was part of is less; tries without the corners that do that.
_OVER, _TURNED = -0.15, 4
# Planes that meet at less than this, deg, make no crease.
_CREASE = 15.0
# Parts of an edge's length: a new corner lies no further from its middle, a crease no further off the soup, and both no
# further along the skin.
_FARTHEST, _ON_CREASE, _ALONG = 0.6, 0.1, 0.5
# Rounds of putting corners back whose faces pass through others, and by what part of the way in each; only faces within
# so many gaps of what was put back are looked at again.
_UNFOLDINGS, _BACK, _AROUND = 24, 0.34, 0.5
# Corners this part of a gap from faces that lie on others are put back, and as much further in each round: a face's
# own may lie far from its middle.
_BESIDE = 0.1
# Rounds of putting corners back for what is wrong with the faces made.
_SOUND = 8
# Faces of a wrap for each square on the ball's radius (measured: 2 to 3), and how many at most.
_PER_BALL, _MOST = 3.0, 2e6
# A wrap has no inside to speak of of which more than this part goes around sheets.
_MOST_SHEET = 0.05
# mm; shorter edges stay whole.
_SHORTEST = 0.02


class NoInside(BuildFailed):
    """What was to be wrapped has open space on both sides, nearly all of it, and says how much."""


@dataclass(frozen=True)
class _Laid:
    """A wrap on its way. laid : (n, 3) mm, where its corners were before they went to the soup. known : (n,) whether
    they lie on it. normals : (n, 3) of the soup there."""

    mesh: Mesh
    laid: np.ndarray
    known: np.ndarray
    normals: np.ndarray


def wrapped(soup: Mesh, gap: float, off: float, fold: float) -> Mesh:
    """Return the skin of a soup of triangles as seen from outside.

    gap : mm, narrower holes and slots are bridged. off : mm, the skin is to lie so near the soup where it bridges
    nothing. fold : mm, faces may pass through others by this much. Raises BuildFailed for more faces than are
    worth waiting for, NoInside for a sheet.
    """
    faces = faces_of_wrap(soup, gap)
    if faces > _MOST:
        least = gap * (faces / _MOST) ** 0.5
        raise BuildFailed(
            f"a wrap of some {faces / 1e6:.0f} million triangles; {least:.0f} mm would do, or another unit"
        )
    offset = min(gap * _OFFSET, _OF_OFF * off)
    if offset < _CLOSE * gap * _OFFSET:
        refuse_sheet(soup, gap)
    wrap = alpha_wrap(soup, gap / 2, offset)
    source = MeshDistance(soup)
    sheet = _refuse_sheet(wrap, offset)
    fitted = _refined(_onto(wrap, source, gap, offset, sheet), source, off)
    made = _sound(fitted, soup, off, fold, gap)
    return weld_exact(in_file_numbers(made.mesh))


def faces_of_wrap(soup: Mesh, gap: float) -> float:
    """Return about how many faces a wrap that bridges `gap` mm has."""
    return _PER_BALL * float(soup.areas_mm2.sum()) / (gap / 2) ** 2


def distance_to_wrap(mesh: Mesh) -> MeshDistance:
    """Return distances to a wrap, mm, with sides that hold beside folds too small to count: what was nearest to a fold
    of 0.008 mm was taken for outside, 17 mm within."""
    return MeshDistance(mesh, Doubt(doubtful_faces(mesh), mesh))


def refuse_sheet(soup: Mesh, gap: float) -> None:
    """Raise NoInside where a wrap that bridges `gap` mm goes around a sheet: a narrower one does so too."""
    offset = gap * _OFFSET
    _refuse_sheet(alpha_wrap(soup, gap / 2, offset), offset)


def _refuse_sheet(wrap: Mesh, offset: float) -> np.ndarray:
    """Return which faces, (m,), wrap a sheet. Raises NoInside where that is more than a small part."""
    sheet = _sheet(wrap, offset)
    part = float(wrap.areas_mm2[sheet].sum() / wrap.areas_mm2.sum())
    if part > _MOST_SHEET:
        raise NoInside(f"{100 * part:.0f} % of the wrap goes around one sheet with open space on both sides")
    return sheet


def _sheet(wrap: Mesh, offset: float) -> np.ndarray:
    """Return which faces, (m,), wrap a sheet: right behind them the wrap looks the other way."""
    inward = -wrap.normals
    hit, along = MeshDistance(wrap).first_hit(wrap.triangles.mean(1) + 1e-3 * offset * inward, inward)
    return (hit >= 0) & (along < 2.2 * offset)


def _onto(wrap: Mesh, source: MeshDistance, gap: float, offset: float, sheet: np.ndarray) -> _Laid:
    """Return the wrap with its corners on the soup, and drawn tight where it bridges something."""
    away, face, nearest = source.nearest(wrap.vertices)
    below = nearest - wrap.vertices
    straight = np.abs(np.einsum("ij,ij->i", below, corner_normals(wrap))) > _STRAIGHT * away
    known = (away < _ON_OFFSET * offset) | (straight & (away < offset + gap / 2))
    on_sheet = np.zeros(len(known), bool)
    on_sheet[wrap.faces[sheet]] = True
    known &= ~on_sheet
    vertices = np.where(known[:, None], nearest, wrap.vertices)
    vertices = _tight(Mesh(vertices, wrap.faces), known | on_sheet)
    return _Laid(Mesh(vertices, wrap.faces), wrap.vertices, known, source.mesh.normals[face])


def _tight(mesh: Mesh, still: np.ndarray) -> np.ndarray:
    """Return the corners with those that are free each in the middle of its neighbours (harmonic, even weights)."""
    free = np.flatnonzero(~still)
    if not len(free) or not still.any():
        return mesh.vertices
    ends = number_edges(mesh.faces, len(mesh.vertices)).ends
    count = len(mesh.vertices)
    ones = np.ones(2 * len(ends))
    links = coo_matrix((ones, (ends.T.ravel(), ends[:, ::-1].T.ravel())), shape=(count, count)).tocsr()
    laplace = (diags(np.asarray(links.sum(1)).ravel()) - links).tocsr()
    held = np.flatnonzero(still)
    right = -laplace[free][:, held] @ mesh.vertices[held]
    vertices = mesh.vertices.copy()
    vertices[free] = spsolve(laplace[free][:, free].tocsc(), right).reshape(-1, 3)
    return vertices


def _refined(made: _Laid, source: MeshDistance, off: float) -> _Laid:
    """Return it with edges halved whose middles are off the soup, the new corners on creases or on the soup.

    What is nearest to the wrap, which lies outside, can be seen from there; what is nearest to a corner cut off may be
    a face inside."""
    old = 0
    for _ in range(_ROUNDS):
        mesh = made.mesh
        edges = number_edges(mesh.faces, len(mesh.vertices))
        length = np.linalg.norm(np.diff(mesh.vertices[edges.ends], axis=1)[:, 0], axis=1)
        asked = np.flatnonzero(made.known[edges.ends].all(1) & (edges.ends >= old).any(1) & (length > _SHORTEST))
        place, face = _places(made, source, edges.ends[asked], off)
        good = np.isfinite(place).all(1)
        if not good.any():
            break
        asked, place, face, halved = _halved(mesh, edges, asked[good], place[good], face[good])
        ends, old = edges.ends[asked], len(mesh.vertices)
        made = _Laid(
            Mesh(np.vstack([mesh.vertices, place]), halved.faces),
            np.vstack([made.laid, made.laid[ends].mean(1)]),
            np.concatenate([made.known, np.ones(len(asked), bool)]),
            np.vstack([made.normals, source.mesh.normals[face]]),
        )
    return made


def _halved(
    mesh: Mesh, edges: EdgeNumbers, asked: np.ndarray, place: np.ndarray, face: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray, Halved]:
    """Return (the edges halved, their new corners, (n, 3), the soup's faces there, the faces made), without those new
    corners that would turn a face over."""
    for last in range(_TURNED, -1, -1):
        wanted = np.zeros(len(edges.ends), bool)
        wanted[asked] = True
        halved = halve(mesh.faces, edges, wanted, len(mesh.vertices))
        made = Mesh(np.vstack([mesh.vertices, place]), halved.faces)
        over = np.einsum("ij,ij->i", made.normals, mesh.normals[halved.parent]) < _OVER
        bad = np.unique(halved.faces[over]) - len(mesh.vertices)
        stays = np.ones(len(asked), bool)
        stays[bad[bad >= 0]] = False
        if stays.all() or not last:
            break
        asked, place, face = asked[stays], place[stays], face[stays]
    return asked, place, face, halved


def _places(made: _Laid, source: MeshDistance, ends: np.ndarray, off: float) -> tuple[np.ndarray, np.ndarray]:
    """Return (where the middles of edges, (n, 2), are to go, (n, 3) mm, not finite where they stay; the soup's face
    there, (n,))."""
    corners = made.mesh.vertices[ends]
    middle, length = corners.mean(1), np.linalg.norm(corners[:, 1] - corners[:, 0], axis=1)
    outside = made.laid[ends].mean(1)
    _, face, seen = source.nearest(outside)
    way = corner_normals(made.mesh)[ends].sum(1)
    way /= np.maximum(np.linalg.norm(way, axis=1, keepdims=True), 1e-9)
    creased = _creased(corners, made.normals[ends], middle)
    off_crease, its_face, on_crease = source.nearest(creased)
    sharp = off_crease < _ON_CREASE * length
    sharp[sharp] = _in_sight(outside[sharp], creased[sharp], 2 * _ON_CREASE * length[sharp], source)
    place, face = np.where(sharp[:, None], on_crease, seen), np.where(sharp, its_face, face)
    by = place - middle
    out = np.einsum("ij,ij->i", by, way)
    along = np.linalg.norm(by - out[:, None] * way, axis=1)
    good = (np.abs(out) > _WORTH * off) & (np.abs(out) < _FARTHEST * length) & (along < _ALONG * length)
    return np.where(good[:, None], place, np.inf), face


def _in_sight(start: np.ndarray, stop: np.ndarray, short: np.ndarray, source: MeshDistance) -> np.ndarray:
    """Return whether, (n,), nothing lies between two places, but for the last `short` mm."""
    way = stop - start
    far = np.linalg.norm(way, axis=1)
    _, along = source.first_hit(start, way / np.maximum(far, 1e-12)[:, None])
    return along > far - short


def _creased(ends: np.ndarray, normals: np.ndarray, middle: np.ndarray) -> np.ndarray:
    """Return where new corners are looked for, (n, 3): where the planes at an edge's two ends, (n, 2, 3), meet, nearest
    to its middle; the middle itself where they are nearly one."""
    one, two = normals[:, 0], normals[:, 1]
    cosine = np.einsum("ij,ij->i", one, two)
    off_one = np.einsum("ij,ij->i", ends[:, 0] - middle, one)
    off_two = np.einsum("ij,ij->i", ends[:, 1] - middle, two)
    spread = np.maximum(1 - cosine**2, 1e-12)
    by = ((off_one - cosine * off_two) / spread)[:, None] * one + ((off_two - cosine * off_one) / spread)[:, None] * two
    crease = np.abs(cosine) < np.cos(np.radians(_CREASE))
    return np.where(crease[:, None], middle + by, middle)


def _sound(made: _Laid, soup: Mesh, off: float, fold: float, gap: float) -> _Laid:
    """Return it with corners put back until no face passes through others, none lies on others where both sides of a
    sheet went to one, and the soup stands nowhere out of it by more than `off` mm."""
    points = np.vstack([soup.vertices, soup.triangles.mean(1)])
    for round_ in range(_SOUND):
        made = _unfolded(made, fold, _AROUND * gap)
        mesh = made.mesh
        surface = distance_to_wrap(mesh)
        depth = surface.depth(points)
        out = points[depth < -off]
        # Corners that came to lie on one place, to the numbers of a file, are one in what is made of it, and faces
        # beside them may cross then.
        welded = weld_exact(in_file_numbers(mesh))
        flaws = edge_flaws(welded) + crossings(welded, fold)
        if not flaws and not len(out):
            break
        back = np.zeros(len(mesh.vertices), bool)
        if len(out):
            back[mesh.faces[surface.nearest(out)[1]]] = True
            back |= _near(mesh.vertices, out, -2.0 * float(depth.min()))
        if flaws:
            back |= _near(mesh.vertices, np.vstack([flaw.places for flaw in flaws]), (round_ + 1) * _BESIDE * gap)
        made = replace(made, mesh=Mesh(np.where(back[:, None], made.laid, mesh.vertices), mesh.faces))
    return made


def _near(points: np.ndarray, places: np.ndarray, within: float) -> np.ndarray:
    """Return which points, (n,), lie within so many mm of any of some places."""
    return cKDTree(places).query(points, distance_upper_bound=within)[0] < within


def _unfolded(made: _Laid, fold: float, around: float) -> _Laid:
    """Return it with the corners put back, step by step, of faces that pass through others: as wrapped, none does.
    around : mm, of what was put back, where faces are looked at again."""
    vertices, faces, part = made.mesh.vertices.copy(), made.mesh.faces, np.zeros(len(made.laid))
    beside = np.arange(len(faces))
    for _ in range(_UNFOLDINGS):
        crossing = beside[crossing_faces(Mesh(vertices, faces[beside]).compact(), fold)]
        if not len(crossing):
            break
        back = np.unique(faces[crossing])
        part[back] = np.minimum(part[back] + _BACK, 1.0)
        vertices[back] = part[back, None] * made.laid[back] + (1 - part[back, None]) * made.mesh.vertices[back]
        beside = np.flatnonzero(_near(vertices, vertices[back], around)[faces].any(1))
    return replace(made, mesh=Mesh(vertices, faces))
