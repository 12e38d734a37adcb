"""What sections keep off."""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cached_property
from typing import Any

import numpy as np

from sections.numbers.bounds import in_box
from sections.numbers.mesh import Mesh
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid


@dataclass(frozen=True)
class Thing:
    """Something that may come near another. mesh : closed, vehicle frame."""

    id: str
    mesh: Mesh

    @cached_property
    def solid(self) -> PrintSolid:
        """It as a solid."""
        return PrintSolid.of(self.mesh, self.id)

    @cached_property
    def surface(self) -> MeshDistance:
        """Distance to its surface."""
        return MeshDistance(self.mesh)

    def __getstate__(self) -> dict[str, Any]:
        """Return what goes to other processes: no tree, no solid."""
        return {one.name: getattr(self, one.name) for one in fields(self)}


@dataclass(frozen=True)
class KeptOff(Thing):
    """Something sections and bolts keep `gap` mm off."""

    gap: float

    def within(self, points: np.ndarray, margin: float) -> np.ndarray:
        """Return which of points (n, 3), (n,) bool, lie in its box, `margin` mm larger all round."""
        return in_box(points, self.mesh.bounds, margin)

    def too_near(self, points: np.ndarray) -> np.ndarray:
        """Return which of points (n, 3), (n,) bool, are nearer than the gap, or inside."""
        near = self.within(points, self.gap)
        near[near] = self.surface.depth(points[near]) > -self.gap
        return near
