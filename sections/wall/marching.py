"""The surface where a field is zero, as marching cubes find it on a lattice, its corners exactly there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from skimage.measure import marching_cubes

from sections.numbers.mesh import Mesh
from sections.wall.flat_ends import flat_ends
from sections.wall.lattice import Lattice
from sections.wall.levels import Field

# A slope that is none.
_FLAT = 1e-7
# Steps to a zero on a lattice edge; mm, near enough.
_STEPS, _EXACT = 8, 1e-4
# Of a step: a corner this near a node is on it. Steps beyond what bounds the hollow, to which corners are laid exactly.
_ON_NODE, _SPARE = 1e-9, 1.5
# In steps, how far a corner on a node, or amid a cell whose faces could be joined in two ways, is moved at most.
_AMID = 0.5


@dataclass(frozen=True)
class Surface:
    """A closed surface, hollow inside.

    mesh : its faces look out of the hollow. known : (n,) bool, the corners laid where the field is zero; others close
    the surface off where the lattice ends, or are cut away later. normals : (n, 3) unit, out of the hollow, 0 where
    not known. laid : (n, 3) mm, where each corner was before it was moved, so that no face crossed another. cells :
    (m, 3) the lattice cell each face is in.
    """

    mesh: Mesh
    known: np.ndarray
    normals: np.ndarray
    laid: np.ndarray
    cells: np.ndarray


def marched(field: Field, held: np.ndarray, lattice: Lattice) -> Surface | float:
    """Return the surface around the hollow of a field over a lattice; 1.0 where all is material, -1.0 where all is
    hollow. held : (nx, ny, nz), the field on the nodes, as `levels.sampled` gives it."""
    if (held > 0).all() or (held < 0).all():
        return float(np.sign(held.flat[0]))
    padded = np.pad(held, 1, constant_values=1.0)
    corners, faces, _, _ = marching_cubes(padded, 0.0, gradient_direction="descent")
    raw = Mesh(lattice.points(corners.astype(np.float64) - 1), faces.astype(np.int64))
    mesh = flat_ends(raw, lattice.box)
    places = lattice.places(mesh.vertices)
    cells = np.floor(places[mesh.faces].mean(1)).astype(np.int64)
    moved, known, normals = _onto_zero(field, held, lattice, places)
    return Surface(Mesh(moved, mesh.faces), known, normals, moved, cells)


def _onto_zero(field: Field, held: np.ndarray, lattice: Lattice, places: np.ndarray):
    """Return (the corners, (n, 3) mm, each moved to where the field is zero, along its lattice edge or, on none,
    the nearest way; which it was found for, (n,); the field's directions there, (n, 3) unit).

    places : (n, 3), counted in nodes from the lattice's start.
    """
    moved, normals = lattice.points(places), np.zeros((len(places), 3))
    known = np.zeros(len(places), bool)
    between = np.abs(places - np.rint(places)) > _ON_NODE
    within = ((places >= 0) & (places <= np.array(lattice.shape) - 1)).all(1)
    rows = np.flatnonzero(within & (between.sum(1) == 1))
    rows = rows[field.counts(moved[rows], _SPARE * lattice.pitch)]
    start = np.where(between[rows], np.floor(places[rows]), np.rint(places[rows])).astype(np.int64)
    stop = start + between[rows]
    below, above = (_true(field, held, lattice, nodes) for nodes in (start, stop))
    crosses = np.sign(below) * np.sign(above) < 0
    rows, start, stop = rows[crosses], start[crosses], stop[crosses]
    share = (places[rows] - start).max(1)
    ends = lattice.points(start), lattice.points(stop)
    moved[rows], normals[rows] = _zeros(field, *ends, np.sign(below[crosses]), share)
    known[rows] = True
    amid = np.flatnonzero(within & (between.sum(1) != 1))
    amid = amid[field.counts(moved[amid], _SPARE * lattice.pitch)]
    found, off = field.onto(moved[amid], _STEPS)
    good = (off < _EXACT) & (np.linalg.norm(found - moved[amid], axis=1) < _AMID * lattice.pitch)
    moved[amid[good]], known[amid[good]] = found[good], True
    slope = field.with_slope(found[good])[1]
    normals[amid[good]] = slope / np.maximum(np.linalg.norm(slope, axis=1, keepdims=True), 1e-12)
    return moved, known, normals


def _true(field: Field, held: np.ndarray, lattice: Lattice, nodes: np.ndarray) -> np.ndarray:
    """Return the field at nodes, (n,) mm, measured where only its sign is held."""
    values = held[tuple(nodes.T)].copy()
    sign = np.abs(values) == 1.0
    values[sign] = field.values(lattice.points(nodes[sign]))
    return values


def _zeros(field: Field, low: np.ndarray, high: np.ndarray, sign: np.ndarray, share: np.ndarray):
    """Return (where the field is zero between (n, 3) ends, mm; its directions there), by Newton's steps kept between
    ends of which one is on either side. sign : of the field at the low ends. share : (n,) 0 to 1, a first guess."""
    near, far = np.zeros(len(low)), np.ones(len(low))
    gradient = np.zeros((len(low), 3))
    open_ = np.arange(len(low))
    for _ in range(_STEPS):
        points = low[open_] + share[open_, None] * (high[open_] - low[open_])
        value, gradient[open_] = field.with_slope(points)
        same = np.sign(value) == sign[open_]
        near[open_] = np.where(same, share[open_], near[open_])
        far[open_] = np.where(same, far[open_], share[open_])
        along = np.einsum("ij,ij->i", gradient[open_], high[open_] - low[open_])
        stepped = share[open_] - value / np.where(np.abs(along) < _FLAT, _FLAT, along)
        outside = (stepped <= near[open_]) | (stepped >= far[open_])
        wanted = np.where(outside, (near[open_] + far[open_]) / 2, stepped)
        rough = np.abs(value) > _EXACT
        share[open_[rough]] = wanted[rough]
        open_ = open_[rough]
        if not len(open_):
            break
    length = np.maximum(np.linalg.norm(gradient, axis=1, keepdims=True), 1e-12)
    return low + share[:, None] * (high - low), gradient / length
