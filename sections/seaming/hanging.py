"""How much of a section would need support, before there is one: its skin as a thin wall, laid the best way."""

from __future__ import annotations

import numpy as np

from sections.seaming.shell import Shell
from sections.solids.layers import STANDS

# A part that looks one way on the whole, by this share of its area, has directions of its own.
_LOOKS_ONE_WAY = 0.6
_STANDS = np.tan(np.radians(STANDS))


def hanging(pieces: list[Shell]) -> float:
    """Return the least area, mm2, that a section of these pieces needs support for, of the directions it may be laid
    in."""
    directions = np.array(directions_of(max(pieces, key=lambda piece: piece.area)))
    return float(hangs(np.concatenate([piece.area_vectors for piece in pieces]), directions).min())


def hangs(vectors: np.ndarray, directions: np.ndarray) -> np.ndarray:
    """Return for each direction, (k, 3) unit, upward, the area, mm2, of the layers of a thin wall that have nothing
    below them within what stands. vectors : (m, 3) mm2, of its faces.

    Of a wall of area A that leans by t from the upright every layer reaches out by its height times tan t; what is past
    that of the steepest that stands hangs: A (sin t - tan 46 deg cos t), level A.
    """
    rise = np.abs(vectors @ directions.T)
    across = np.sqrt(np.maximum((vectors**2).sum(1)[:, None] - rise**2, 0.0))
    return np.maximum(rise - _STANDS * across, 0.0).sum(0)


def directions_of(shell: Shell) -> list[np.ndarray]:
    """Return the axes and, where a shell looks one way on the whole, its own two longest across that way, unit (3,)."""
    axes = list(np.eye(3))
    way = shell.area_vectors.sum(0)
    if np.linalg.norm(way) <= _LOOKS_ONE_WAY * shell.area:
        return axes
    way /= np.linalg.norm(way)
    flat = shell.vertices - shell.vertices.mean(0)
    flat -= np.outer(flat @ way, way)
    return axes + list(np.linalg.eigh(flat.T @ flat)[1].T[:0:-1])
