"""The block behind an open skin: what an open panel's wall and flanges are cut from.

The block follows the mean normal of the skin near a place, in steps. Along a smooth field paths do not cross; with a
fixed number of samples taken as they come it was not smooth, and thousands of faces crossed. Weights fall to nothing
at the farthest sample, and deep down the samples are fewer. Pushing paths until they were equally deep everywhere
made them end on one line below an edge, within rounding of one another; equally long ones, in a deeper block, do not.
Parts of a skin that meet in a corner alone would share an edge of the strip behind it: each gets a corner of its own,
a little toward its own faces (`numbers/pinched_corners.py`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_matrix
from scipy.spatial import cKDTree

from sections.errors import BadInput, Problem
from sections.numbers.mesh import Mesh, weld_exact
from sections.numbers.pinched_corners import fans_apart
from sections.numbers.sampling import random_weights, sample_surface
from sections.numbers.words import place_words
from sections.scan.surfaces import Rims
from sections.scan.tight_back import drawn_tight
from sections.solids.distance import MeshDistance, corner_normals
from sections.solids.envelope import outer_envelope
from sections.solids.soundness import solid_flaws

# The first step from the skin, as a part of the depth, and how much longer each is than the one before; samples of the
# skin that draw a corner on. A path whose last steps gained less depth than this part of their length has come to the
# middle between two skins.
_FIRST, _LONGER, _DRAWN, _OWN, _LOOK_BACK, _GAIN = 0.02, 1.12, 160, 12, 3, 0.1
# mm2 of a ragged rim that may be cut off; the part of a face's area that is rounding.
_TRIMMED, _ROUNDING = 25.0, 1e-9
# How far, toward the middle of its own faces, a corner behind a place where parts meet is moved.
_PARTED = 0.2
_PER_WIDTH, _MOST_SAMPLES, _SEED = 2.5, 1_000_000, 17
# The block behind an open skin is this much deeper than a flange: below the corner of a box its paths run aslant, and
# reach 1 / sqrt(3) as deep.
_DEEPER = 1.75


@dataclass(frozen=True)
class Block:
    """What lies behind an open skin. mesh : closed, its first faces the skin's own. border : the faces that stand
    square to the skin at its rim. least, median : mm, how deep below the skin its corners behind lie. trimmed : mm2 of
    skin cut off at a rim so ragged that it overlaps itself."""

    mesh: Mesh
    border: Mesh
    least: float
    median: float
    trimmed: float


def depth_behind(flange: float, wall: float, pitch: float) -> float:
    """Return how deep, mm, the block behind an open skin is, for a flange's height, a wall and a lattice's pitch."""
    return _DEEPER * max(flange, wall) + pitch


def block_behind(skin: Mesh, depth: float, fold: float, what: str) -> Block:
    """Return the block behind an open, oriented skin, `depth` mm deep where there is room. Raises BadInput.

    Every corner of the skin is led inward along the mean of the normals near it, the nearer the more, in steps: paths
    along one smooth field do not cross, so neither do the faces between them. At the rim they leave the skin square
    to it. Where other skin lies near, a path ends at about the middle. Where the back crosses itself all the same it is
    drawn tight. The skin itself is not moved.

    fold : mm, the back may pass through itself by no more.
    """
    skin, shared = fans_apart(skin)
    surface = MeshDistance(skin)
    back = _parted(skin, _led(skin, surface, _steps(depth)), shared)
    tight = drawn_tight(skin, back, depth, fold)
    closed = weld_exact(tight.mesh)
    whole, trimmed = (closed, 0.0) if not len(tight.crossing) else _uncrossed(closed, skin, fold)
    if whole is not None:
        far = surface.depth(tight.mesh.vertices[len(skin.vertices) :])
        return Block(whole, tight.border, float(far.min()), float(np.median(far)), trimmed)
    place = place_words(tight.mesh.triangles[tight.crossing[0]].mean(0))
    limit = f"an open skin with room behind it; it crosses what is laid behind it, at {place}"
    remedy = "look there for folds and double skins; repair.hems cuts off rims folded back under the skin"
    raise BadInput([Problem(what, "body.open", "true", limit, remedy)])


def _parted(skin: Mesh, back: np.ndarray, shared: np.ndarray) -> np.ndarray:
    """Return the back with corners behind one place moved apart, each toward its own faces: parts of the skin that
    meet in a corner would else share an edge behind it."""
    parted = back.copy()
    for corner in shared:
        others = np.unique(skin.faces[(skin.faces == corner).any(1)])
        parted[corner] += _PARTED * (back[others].mean(0) - back[corner])
    return parted


def _uncrossed(mesh: Mesh, skin: Mesh, fold: float) -> tuple[Mesh | None, float]:
    """Return (a block that crosses itself without what is behind the crossing, mm2 of skin cut off with it at the rim);
    no block where more of the skin would go than faces at the rim, or it would not be sound."""
    outer = outer_envelope(mesh)
    own = outer.born < len(skin)
    left = np.bincount(outer.born[own], outer.mesh.areas_mm2[own], len(skin))
    lost = skin.areas_mm2 - left
    cut = np.flatnonzero(lost > _ROUNDING * skin.areas_mm2)
    at_rim = np.isin(skin.faces[cut], Rims.of(skin).ends).any(1)
    trimmed = float(lost[cut].sum())
    if not at_rim.all() or trimmed > _TRIMMED or solid_flaws(outer.mesh, fold):
        return None, 0.0
    return outer.mesh, trimmed


def _steps(depth: float) -> np.ndarray:
    """Return how deep each step ends, mm, from 0 to `depth`: short ones first, where the field changes fastest."""
    lengths = [_FIRST]
    while sum(lengths) < 1:
        lengths.append(lengths[-1] * _LONGER)
    ends = np.concatenate([[0.0], np.cumsum(lengths)])
    return depth * ends / ends[-1]


def _led(skin: Mesh, surface: MeshDistance, steps: np.ndarray) -> np.ndarray:
    """Return where, (n, 3), each corner comes when it is led inward."""
    at_rim = np.zeros(len(skin.vertices), bool)
    at_rim[Rims.of(skin).ends] = True
    shallow = steps[-1] / 12
    at, field = skin.vertices, _Field.beside(skin, shallow)
    paths, room = [at], np.full(len(at), float(steps[-1]))
    depths, going = [np.zeros(len(at))], np.ones(len(at), bool)
    for gone, end in zip(steps[:-1], steps[1:], strict=True):
        if gone > max(2 * field.width, shallow):
            field = _Field.below(skin, gone)
        toward = field.at(at, gone)
        if not gone:
            # Within the skin its own normals hold; at the rim they are those of a face or two, and noise.
            toward = np.where(at_rim[:, None], toward, corner_normals(skin))
        at = at - (end - gone) * toward
        depths.append(surface.depth(at))
        paths.append(at)
        if len(depths) > _LOOK_BACK:
            since = steps[len(depths) - 1 - _LOOK_BACK]
            stops = going & (depths[-1] - depths[-1 - _LOOK_BACK] < _GAIN * (end - since))
            room[stops] = since
            going &= ~stops
    # Near the middle between two skins the field turns aside, so there a path goes on as it began, straight.
    stopped = np.flatnonzero(~going)
    half_way = _along(np.array(paths), 0.5 * room, steps)[stopped]
    at[stopped] = 2 * half_way - skin.vertices[stopped]
    return at


@dataclass(frozen=True)
class _Field:
    """The mean of the skin's normals near a place, the nearer the more: smooth over about `width` mm, or over the
    spacing of its samples where that is wider. areas : mm2, what each sample stands for."""

    width: float
    samples: cKDTree
    normals: np.ndarray
    areas: np.ndarray

    @staticmethod
    def beside(skin: Mesh, width: float) -> _Field:
        """Return the field on the skin itself: a sample for every face, more for large ones, so that where the skin
        bends sharply, and is meshed finely, the samples lie as close."""
        areas = skin.areas_mm2
        many = np.ceil(areas / (width / _PER_WIDTH) ** 2).clip(1, None)
        many = np.maximum(1, many * min(1.0, _MOST_SAMPLES / many.sum())).astype(int)
        faces = np.repeat(np.arange(len(skin)), many)
        weights = random_weights(np.random.default_rng(_SEED), len(faces))
        weights[(many == 1)[faces]] = 1 / 3
        samples = np.einsum("nk,nkj->nj", weights, skin.triangles[faces])
        return _Field(0.0, cKDTree(samples), skin.normals[faces], (areas / many)[faces])

    @staticmethod
    def below(skin: Mesh, width: float) -> _Field:
        """Return the field at about `width` mm below the skin: samples spread evenly."""
        spacing = max(width / _PER_WIDTH, np.sqrt(skin.areas_mm2.sum() / _MOST_SAMPLES))
        samples, faces = sample_surface(skin, max(2000, int(skin.areas_mm2.sum() / spacing**2)), _SEED)
        return _Field(width, cKDTree(samples), skin.normals[faces], np.ones(len(samples)))

    def at(self, places: np.ndarray, gone: float) -> np.ndarray:
        """Return the unit mean, (n, 3), at places (n, 3) that have gone so far from the skin, mm."""
        gap, which = self.samples.query(places, k=min(_DRAWN, self.samples.n), workers=-1)
        width = np.maximum(max(self.width, gone), gap[:, min(_OWN, gap.shape[1] - 1)])[:, None]
        weight = 1 / (gap**2 + width**2) ** 2
        # Less the weight of the farthest, so that nothing jumps where another sample comes to be the farthest.
        weight -= weight[:, -1:]
        ends = np.arange(0, weight.size + 1, weight.shape[1])
        shape = (len(places), self.samples.n)
        mean = csr_matrix((weight.ravel(), which.ravel(), ends), shape) @ (self.normals * self.areas[:, None])
        return mean / np.maximum(np.linalg.norm(mean, axis=1, keepdims=True), 1e-300)


def _along(paths: np.ndarray, reach: np.ndarray, steps: np.ndarray) -> np.ndarray:
    """Return where each corner's path is, (n, 3), after its own reach."""
    after = np.searchsorted(steps, reach).clip(1, len(steps) - 1)
    part = ((reach - steps[after - 1]) / (steps[after] - steps[after - 1]))[:, None]
    rows = np.arange(len(reach))
    return (1 - part) * paths[after - 1, rows] + part * paths[after, rows]
