"""How well a section stands in a pose: what of it needs support, what it stands on, and what that counts."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from sections.numbers.frame import Frame
from sections.numbers.mesh import MIRROR_Y
from sections.settings.making import PoseTable
from sections.solids.layers import STANDS, PrintLayers, layered, layered_unless
from sections.solids.print_solid import PrintSolid

# mm2; what stands on less stands on an edge.
ON_EDGE = 400.0
# A normal's rise where a face hangs over, and within 20 deg of level. mm; faces so near to the bed lie on it.
_HANGS, _LEVEL, _ON_BED = np.sin(np.radians(STANDS)), np.cos(np.radians(20.0)), 0.05
# And where it is level, to a degree.
_FLAT = np.cos(np.radians(1.0))


@dataclass(frozen=True)
class Standing:
    """How a section stands as it is printed; areas mm2, as far as the plan knows it: without bolts and bosses.

    unsupported : of its layers, with nothing below; at : amid the largest patch, vehicle frame. bridged : of what is
    spanned. skin : of its skin that looks down by more than 45 deg. stepped : of skin so level that layers show. first
    : of its first layer. lean : mm, by which the centre of mass of what is printed lies outside what it stands on at
    the worst; negative inside. cost : what all that counts as.
    """

    unsupported: float
    at: tuple[float, float, float] | None
    bridged: float
    skin: float
    stepped: float
    first: float
    lean: float
    cost: float


@dataclass(frozen=True)
class Outside:
    """Places on a section's skin: normals (n, 3), outward, and the area each stands for, mm2."""

    normals: np.ndarray
    area_mm2: float

    def looks(self, up: np.ndarray) -> tuple[float, float]:
        """Return how much of the skin, mm2, looks down by more than 45 deg, and how much is nearly level."""
        rise = self.normals @ up
        return float((rise < -_HANGS).sum() * self.area_mm2), float((np.abs(rise) > _LEVEL).sum() * self.area_mm2)


@dataclass(frozen=True)
class Judge:
    """What poses of a section are judged by. solid, outside : the bare section, vehicle frame."""

    solid: PrintSolid
    outside: Outside
    weights: PoseTable

    def mirrored(self) -> Judge:
        """Return that of the mirror image in y = 0."""
        outside = Outside(self.outside.normals * MIRROR_Y, self.outside.area_mm2)
        return Judge(self.solid.mirrored_y(), outside, self.weights)

    def standing(self, frame: Frame, height: float) -> Standing:
        """Return how the section stands with the bed where a frame has it. height : mm, in it."""
        return self.standing_below(frame, height, np.inf)

    def standing_below(self, frame: Frame, height: float, most: float) -> Standing | None:
        """Return how the section stands, as `standing` does; None where that would count as more than `most`."""
        skin, stepped = self.outside.looks(np.asarray(frame.z))
        weights = self.weights

        def cost(first: float, unsupported: float, bridged: float) -> float:
            """What counts by the layers up to one."""
            counted = weights.support * unsupported + weights.bridged * bridged + weights.stepped * stepped
            counted += weights.skin * min(skin, unsupported) + weights.height * height
            return counted + weights.edge * (first < ON_EDGE)

        solid = self.solid.unplaced(frame)
        layers = layered_unless(solid, weights.bridge, lambda *so_far: cost(*so_far) > most)
        if layers is None:
            return None
        whole = cost(layers.first, layers.unsupported, layers.bridged) + weights.lean * max(layers.lean, 0.0)
        at = None if layers.where is None else tuple(map(float, frame.to_world(layers.where[None])[0]))
        return Standing(
            round(layers.unsupported, 1), at, round(layers.bridged, 1), round(skin, 1), round(stepped, 1),
            round(layers.first, 1), round(layers.lean, 2), round(whole, 1),
        )  # fmt: skip

    def layers(self, frame: Frame) -> PrintLayers:
        """Return what its layers stand on with the bed where a frame has it."""
        return layered(self.solid.unplaced(frame), self.weights.bridge)

    def guess(self, up: np.ndarray, height: float) -> float:
        """Return about what a pose would cost, with `up` upward, by how its faces look alone: all that looks down by
        more than 45 deg and is not on the bed, and whether it lies on a face. height : mm, in it."""
        corners, middles, normals, areas = self._faces
        low = float((corners @ up).min())
        rise, raised = normals @ up, middles @ up > low + _ON_BED
        hangs = float(areas[(rise < -_HANGS) & raised].sum())
        lies = float(areas[(rise < -_FLAT) & ~raised].sum())
        weights = self.weights
        return weights.support * hangs + weights.edge * (lies < ON_EDGE) + weights.height * height

    @cached_property
    def _faces(self) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
        mesh = self.solid.mesh()
        return mesh.vertices, mesh.triangles.mean(1), mesh.normals, mesh.areas_mm2
