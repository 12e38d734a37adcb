"""Where a jig may hold the body: places on plain skin, by the way it looks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sections.jig.contour import STEP, Contour
from sections.solids.distance import MeshDistance

# mm; skin this near to an opening holds nothing. An outline is the furthest of what lies within the sheet's thickness,
# so skin that leans by 45 deg is half a thickness off it at the middle plane; mm more.
_OFF_OPENINGS, _MORE = 6.0, 1.0
# mm; so far off a pad it is seen how the skin leans along the body.
_OFF = 1.0
# Skin within 45 deg of the way it is to look.
_STEEP = np.sqrt(0.5)


@dataclass(frozen=True)
class Skin:
    """The body's skin and its openings, to know where there is something to hold by a sheet of a thickness, mm."""

    surface: MeshDistance
    openings: tuple[MeshDistance, ...]
    thickness: float

    def holds(self, points: np.ndarray) -> np.ndarray:
        """Return at which points, (n, 3) mm, there is skin, clear of openings, (n,) bool."""
        there = self.surface.unsigned(points) < self.thickness / 2 + _MORE
        for opening in self.openings:
            there &= opening.depth(points) < -_OFF_OPENINGS
        return there

    def normals(self, points: np.ndarray) -> np.ndarray:
        """Return the outward directions, (n, 3) unit, of the skin nearest to points (n, 3)."""
        return self.surface.mesh.normals[self.surface.nearest(points)[1]]


@dataclass(frozen=True)
class Pad:
    """A place where a sheet holds the skin. at : in the sheet's x, y, mm, on the body's outline. out : (2,) unit, away
    from the body. place, normal : (3,) mm on the skin and its outward direction, vehicle frame. within : of a distance
    in the sheet's plane, the part that is square to the skin: less than 1 where the skin leans along the body."""

    at: tuple[float, float]
    out: tuple[float, float]
    place: tuple[float, float, float]
    normal: tuple[float, float, float]
    within: float = 1.0


def find_pad(contour: Contour, skin: Skin, width: float, way: np.ndarray, within: np.ndarray, prefer: np.ndarray):
    """Return the best pad on a contour, or None.

    way : (2,) unit, how skin must look there, within 45 deg, along all the pad's width, mm. within : (n,) bool, places
    of the contour that may be held. prefer : (n,) what is largest at the best.
    """
    good = within & (contour.normals @ way > _STEEP) & skin.holds(contour.world)
    # Skin that leans along the body is nearer to the sheet's edge than the gap within its plane.
    good &= skin.normals(contour.world) @ (contour.frame.rotation @ np.array([*way, 0.0])) > _STEEP
    best = _best(good, width, prefer)
    return None if best is None else _pad(contour, skin, best, contour.normals[best])


def find_fence(contour: Contour, skin: Skin, width: float, way: np.ndarray, within: np.ndarray) -> Pad | None:
    """Return where a straight fence across `way`, (2,) unit, would meet a contour, or None: its furthest place there,
    if there is skin along the width, mm. It may be an edge, which skin on either side of it does not look that way."""
    out = contour.points @ way
    furthest = out >= out[within].max() - STEP if within.any() else within
    best = _best(within & skin.holds(contour.world), width, np.where(furthest, out, -np.inf))
    return None if best is None else _pad(contour, skin, best, way)


def _best(good: np.ndarray, width: float, prefer: np.ndarray) -> int | None:
    """Return the number of the place that is best by `prefer` of those with good ones all along the width around it."""
    wide = good.copy()
    for shift in range(1, int(np.ceil(width / 2 / STEP)) + 2):
        wide &= np.roll(good, shift) & np.roll(good, -shift)
    score = np.where(wide, prefer, -np.inf)
    best = int(score.argmax())
    return best if np.isfinite(score[best]) else None


def _pad(contour: Contour, skin: Skin, number: int, out: np.ndarray) -> Pad:
    """Return the pad at a place of a contour, held against `out`, (2,) unit: the sheet's edge across that way touches
    where skin looks otherwise, as at an edge."""
    place = skin.surface.nearest(contour.world[number][None])[2][0]
    square = contour.frame.rotation @ np.array([*out, 0.0])
    normal = skin.normals(place[None])[0]
    if normal @ square < _STEEP:
        normal = square
    return Pad(
        tuple(map(float, contour.points[number])), tuple(map(float, out)),
        tuple(map(float, place)), tuple(map(float, normal)), _within(contour, skin, number, out),
    )  # fmt: skip


def _within(contour: Contour, skin: Skin, number: int, out: np.ndarray) -> float:
    """Return what part of a distance off a contour, in the sheet's plane along `out`, is square to the skin: measured
    _OFF mm off it, on the face of the sheet where the skin is nearer."""
    half = skin.thickness / 2
    off = np.array([[*(contour.points[number] + _OFF * out), level] for level in (-half, half)])
    return float(np.clip(skin.surface.unsigned(contour.frame.to_world(off)).min() / _OFF, 0.1, 1.0))
