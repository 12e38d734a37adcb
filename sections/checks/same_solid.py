"""Do a section's two solids agree: the print solid, and the solid of its STEP file?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sections.numbers.frame import Plane
from sections.numbers.mesh import Mesh
from sections.numbers.sampling import sample_surface
from sections.numbers.tolerances import SETTLED
from sections.solids.distance import MeshDistance
from sections.solids.least_place import follow_least
from sections.solids.planar import face_on_plane

_SAMPLES = 6000
# mm; how closely an exact solid is followed when it is compared with the print solid.
COMPARED = 0.05
# mm; the mean distance between the two solids' surfaces, by their volumes.
MEAN_APART = 0.02
# So many per cent of the points of either surface are within so many mm of the other, and none is further off.
MOST, MOST_APART, FURTHEST = 99.9, 0.2, 0.5
# mm; by how much bounds may differ. Outlines of the faces on seams may be this far apart, on this much area (mm2) they
# may be further: a bolt hole that is missing is not let pass.
EXTENTS, OUTLINE_APART, AREA_APART = 0.2, 0.4, 2.0


@dataclass(frozen=True)
class Agreement:
    """How far apart two solids of one section are.

    mean : mm, difference of their volumes spread over their surface. most : mm, what MOST per cent of the points of
    either surface are nearer than to the other. furthest : mm, where it is most, and `where` that is. extents : mm,
    largest difference of their bounds. seam : mm2, largest area on a seam that belongs to one face only, half of
    OUTLINE_APART taken off its rim.
    """

    mean: float
    most: float
    furthest: float
    where: tuple[float, float, float]
    extents: float
    seam: float

    def why_not(self, deviation: float) -> str | None:
        """Return None when the two are the same section, else in what they are not. deviation : mesh.deviation, by
        which the print solid may leave the skin: more than the limits here, it takes their place."""
        limits = {
            "volumes {:.3f} mm apart, spread over the surface": (self.mean, MEAN_APART),
            "surfaces {:.2f} mm apart": (self.most, max(MOST_APART, deviation + COMPARED)),
            "a place {:.2f} mm from the print solid": (self.furthest, max(FURTHEST, 2 * deviation + COMPARED)),
            "extents {:.2f} mm apart": (self.extents, max(EXTENTS, deviation + COMPARED)),
            "faces on a seam differ by {:.1f} mm2": (self.seam, AREA_APART),
        }
        over = [text.format(value) for text, (value, limit) in limits.items() if not value <= limit]
        return "; ".join(over) or None


def agreement(exact: Mesh, printed: Mesh, planes: list[Plane]) -> Agreement:
    """Return how far apart two closed meshes of one section are, both in the vehicle frame.

    planes : the section's seams.
    """
    most, furthest = [], []
    surfaces = MeshDistance(exact), MeshDistance(printed)
    for seed, (one, other) in enumerate((surfaces, surfaces[::-1]), 31):
        points, _ = sample_surface(one.mesh, _SAMPLES, seed)
        off = other.unsigned(points)
        most.append(float(np.percentile(off, MOST)))
        place, least = follow_least(one, points, -off, lambda places, other=other: -other.unsigned(places), seed)
        furthest.append((-least, tuple(map(float, place))))
    area = printed.areas_mm2.sum()
    return Agreement(
        abs(exact.volume_mm3 - printed.volume_mm3) / float(area),
        max(most),
        *max(furthest),
        float(np.abs(exact.bounds - printed.bounds).max()),
        max((_seam_apart(exact, printed, plane) for plane in planes), default=0.0),
    )


def _seam_apart(exact: Mesh, printed: Mesh, plane: Plane) -> float:
    frame = plane.frame()
    one, two = (face_on_plane(mesh, plane, frame, SETTLED) for mesh in (exact, printed))
    # What is left of the difference after both outlines' error is taken off it.
    apart = one.symmetric_difference(two).buffer(-OUTLINE_APART / 2)
    return float(apart.area)
