"""What the later rooms get of the body."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sections.numbers.mesh import Mesh


@dataclass(frozen=True)
class OpeningSolid:
    """A solid that is cut through wall and skin."""

    id: str
    mesh: Mesh


@dataclass(frozen=True)
class Body:
    """The full outer form in the vehicle frame, mm.

    skin : closed, outward triangles. openings : what is cut through it.
    exact_points : (n, 3) points on the source's own surfaces, evenly spread, to measure the skin against.
    notes : what was measured and decided on the way in, a line each.
    """

    skin: Mesh
    openings: tuple[OpeningSolid, ...]
    exact_points: np.ndarray
    notes: tuple[str, ...]
