"""Whether a mesh bounds a solid: measured flaw by flaw, because a library's "no error" is not enough.

One closed surface that does not cross itself bounds a solid; the winding number is asked only of several.
"""

from __future__ import annotations

from dataclasses import dataclass

import igl
import numpy as np

from sections.numbers.mesh import Mesh, shell_count
from sections.numbers.rows import unique_rows
from sections.numbers.words import place_words
from sections.solids.crossing import crossing_by_place
from sections.solids.winding import WindingNumbers

_PLACES = 5
_MANY_DOUBLED = 0.1
_STEPS_WIDE = 100.0
# Folds shallower than the mesh's deviation divided by this do not count: the triangles themselves are that far off.
FOLDS_PER_DEVIATION = 5.0


@dataclass(frozen=True)
class Flaw:
    """One kind of fault in a mesh: its code, what it is, how often, and where, (k, 3) mm."""

    code: str
    kind: str
    count: int
    places: np.ndarray
    remedy: str

    def __str__(self) -> str:
        shown = "; ".join(place_words(place) for place in self.places[:_PLACES])
        return f"{self.count} {self.kind}, at {shown}"


def edge_flaws(mesh: Mesh) -> list[Flaw]:
    """Return open, over-used and wrongly turned edges and doubled faces of a welded mesh."""
    ends = mesh.faces[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2)
    first, number = unique_rows(np.sort(ends, axis=1))
    count = np.bincount(number)
    balance = np.bincount(number, weights=np.where(ends[:, 0] < ends[:, 1], 1, -1))
    middles = mesh.vertices[ends[first]].mean(1)
    found = [
        ("open", "open edges", count == 1, middles, "close the holes there"),
        ("branching", "edges with more than two faces", count > 2, middles, "take out inner or doubled faces there"),
        (
            "turned",
            "edges whose faces look opposite ways",
            (count == 2) & (balance != 0),
            middles,
            "turn the faces alike",
        ),
        (
            "doubled",
            "doubled faces",
            _doubled(mesh),
            mesh.triangles.mean(1),
            "take one of the two out: the mesh lies over itself",
        ),
    ]
    return [Flaw(code, kind, int(bad.sum()), at[bad], remedy) for code, kind, bad, at, remedy in found if bad.any()]


def boundary_flaws(mesh: Mesh, samples: int = 1500, seed: int = 3) -> list[Flaw]:
    """Return what keeps a welded mesh from being the boundary of a solid; an empty list when nothing does.

    Beside its edges: places where the winding number just outside is not 0 or just inside is not 1 (doubled
    bodies, inner bodies, faces turned in). Faces that pass through others are not looked for.
    """
    return edge_flaws(mesh) or _winding_flaws(mesh, samples, seed)


def _side_flaws(mesh: Mesh, fold: float) -> list[Flaw]:
    """Return places where a closed mesh that nowhere crosses itself has its inside on the wrong side.

    One closed surface that does not cross itself parts space in two, so the sign of its volume tells; of several
    the winding number must.
    """
    if shell_count(mesh) > 1:
        return _winding_flaws(mesh, samples=1500, seed=3, fold=fold)
    if mesh.volume_mm3 > 0:
        return []
    return [Flaw("inward", "faces look inward", len(mesh), mesh.vertices[:1], "turn the faces to look outward")]


def solid_flaws(mesh: Mesh, fold: float) -> list[Flaw]:
    """Return the flaws of the boundary, and faces that pass through one another by `fold` mm or more."""
    flaws = edge_flaws(mesh)
    doubled = sum(flaw.count for flaw in flaws if flaw.code == "doubled")
    # Of a mesh that lies over itself every face meets others; counting them takes long and tells nothing new.
    if doubled < _MANY_DOUBLED * len(mesh):
        flaws += crossings(mesh, fold)
    return flaws or _side_flaws(mesh, fold)


def crossings(mesh: Mesh, fold: float) -> list[Flaw]:
    """Return the flaw of faces that pass through one another by `fold` mm or more; an empty list for none."""
    crossing = crossing_by_place(mesh, fold)
    places = mesh.triangles.mean(1)[crossing]
    kind, remedy = "faces that pass through others", "unite the bodies that overlap"
    return [Flaw("crossing", kind, len(crossing), places, remedy)] if len(crossing) else []


def _doubled(mesh: Mesh) -> np.ndarray:
    _, group = unique_rows(np.sort(mesh.faces, axis=1))
    return np.bincount(group)[group] > 1


def _winding_flaws(mesh: Mesh, samples: int, seed: int, fold: float = 0.0) -> list[Flaw]:
    """Return places where the mesh is not a boundary between winding number 0 and 1. fold : mm; where it is one so far
    to either side, what lies between is a fold no deeper than counts."""
    rng = np.random.default_rng(seed)
    areas, widths = mesh.areas_mm2, mesh.widths
    # A step off the face: far enough for arithmetic, much nearer than any wall is thick. Faces not much wider than
    # that are passed over: the step from one may lead through the face beside it.
    step = 1e-6 * float(np.linalg.norm(mesh.size))
    wide = np.flatnonzero(widths > _STEPS_WIDE * step)
    if not len(wide):
        wide = np.arange(len(mesh))
    count = min(samples, len(wide))
    faces = rng.choice(wide, count, replace=False, p=areas[wide] / areas[wide].sum())
    centres = mesh.triangles[faces].mean(1)
    normals = mesh.normals[faces]
    winding = WindingNumbers(mesh)
    outside, inside = (np.rint(winding.at(centres + side * step * normals)).astype(int) for side in (1, -1))
    bad = (outside != 0) | (inside != 1)
    bad[bad] = ~_is_boundary(mesh, centres[bad], step * normals[bad])
    if fold > step:
        bad[bad] = ~_is_boundary(mesh, centres[bad], fold * normals[bad], either=True)
    if not bad.any():
        return []
    kind = f"faces (of {count} tried) with no clear inside"
    if (inside[bad] <= 0).all():
        return [Flaw("inward", kind, int(bad.sum()), centres[bad], "turn the faces to look outward")]
    return [Flaw("within", kind, int(bad.sum()), centres[bad], "unite or take out bodies that lie inside one another")]


def _is_boundary(mesh: Mesh, places: np.ndarray, step: np.ndarray, *, either: bool = False) -> np.ndarray:
    """Return at which places, (n,), winding numbers are 0 a step, (n, 3) mm, further on and 1 a step back; either : or
    the other way round, or the same on both sides, no more than 1: a film, of nothing or of material, that is thinner
    than the steps. To the last digit: beside needles the quick numbers are off."""
    ahead, back = (
        np.rint(igl.winding_number(mesh.vertices, mesh.faces, np.ascontiguousarray(places + side * step))).reshape(-1)
        for side in (1, -1)
    )
    parted = (ahead == 0) & (back == 1)
    film = (ahead == back) & np.isin(ahead, (0, 1))
    return parted | (ahead == 1) & (back == 0) | film if either else parted
