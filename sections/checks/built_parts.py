"""What the checks look at: parts read back from their files, in place in the vehicle frame."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from sections.donor.kept_off import KeptOff
from sections.numbers.frame import Frame, Plane
from sections.numbers.mesh import Mesh
from sections.numbers.tolerances import SETTLED
from sections.plan.model import PlannedBoss, PlannedJoint, PlannedSection
from sections.settings import Settings
from sections.solids.as_given import AsGiven
from sections.solids.distance import MeshDistance
from sections.solids.planar import face_on_plane
from sections.solids.print_solid import PrintSolid


@dataclass(frozen=True)
class BodyTruth:
    """The body as the checks know it, read anew from its source.

    skin : distance to its skin. openings : distance to the surface of each opening; they may overlap.
    exact_points : (n, 3) on the source's own surfaces, openings' insides left out. border : distance to the faces at
    the rim of an open skin, None for a closed one. keep_outs : what sections and bolts keep off. opening_ids : the id
    of each opening in the parameter file. given : places on the body as it came, openings' insides left out; None where
    it was taken as it came.
    """

    skin: MeshDistance
    openings: tuple[MeshDistance, ...]
    exact_points: np.ndarray
    border: MeshDistance | None = None
    keep_outs: tuple[KeptOff, ...] = ()
    opening_ids: tuple[str, ...] = ()
    given: AsGiven | None = None

    def off_openings(self, points: np.ndarray, margin: float, but: int | None = None) -> np.ndarray:
        """Return which points, (n,), keep `margin` mm outside every opening, and off the border. but : the number of an
        opening left aside."""
        ok = np.ones(len(points), bool)
        for number, opening in enumerate(self.openings):
            if number != but:
                ok &= opening.are_outside(points, margin)
        return ok if self.border is None else ok & self.border.are_off(points, margin)

    def off_cuts(self, points: np.ndarray, margin: float) -> np.ndarray:
        """Return which points, (n,), are further than `margin` mm off the faces of openings and off the border."""
        ok = np.ones(len(points), bool)
        for cut in (*self.openings, *((self.border,) if self.border is not None else ())):
            ok &= cut.are_off(points, margin)
        return ok


@dataclass(frozen=True)
class BuiltSection:
    """One section as read back.

    planned : what was asked of it, to know where to look. printed : its mesh in print coordinates, welded. planes : the
    seams that bound it, by id. bosses : planned on it. foot : printed beside it, in print coordinates; None without.
    """

    planned: PlannedSection
    printed: Mesh
    planes: dict[str, Plane]
    bosses: tuple[PlannedBoss, ...]
    foot: Mesh | None = None

    @property
    def id(self) -> str:
        """The section's id."""
        return self.planned.id

    @cached_property
    def mesh(self) -> Mesh:
        """The mesh in the vehicle frame."""
        return self.planned.pose.place(self.printed)

    @cached_property
    def surface(self) -> MeshDistance:
        """Distance to its surface."""
        return MeshDistance(self.mesh)

    @cached_property
    def solid(self) -> PrintSolid:
        """The section as a solid, in the vehicle frame."""
        return PrintSolid.of(self.mesh, self.id)

    def face(self, plane: Plane, frame: Frame):
        """Return the section's face on a seam, as built, in the x, y of a frame on that seam."""
        return face_on_plane(self.mesh, plane, frame, SETTLED)

    def to_seam(self, points: np.ndarray) -> np.ndarray:
        """Return the distance, (n,) mm, of points to the nearest of its seams; inf without seams."""
        gap = np.full(len(points), np.inf)
        for plane in self.planes.values():
            np.minimum(gap, np.abs(plane.distance(points)), out=gap)
        return gap


@dataclass(frozen=True)
class BuiltPair:
    """Two built sections that meet on a seam, and the joints planned between them there.

    seam : its id. given : its id in the parameter file.
    """

    seam: str
    given: str
    plane: Plane
    minus: BuiltSection
    plus: BuiltSection
    joints: tuple[PlannedJoint, ...]

    @property
    def id(self) -> str:
        """The pair's name."""
        return f"{self.seam}:{self.minus.id}+{self.plus.id}"

    def side(self, name: str) -> BuiltSection:
        """Return the section on the "minus" or "plus" side."""
        return self.minus if name == "minus" else self.plus


@dataclass(frozen=True)
class CheckRules:
    """What the checks need of the settings; flange_reach, mm; the loose pieces as read back, by kind."""

    settings: Settings
    flange_reach: float
    loose: dict[str, Mesh]

    def bolted(self, seam: str) -> bool | str:
        """Return whether bolts are asked for on a seam, by its given id, or "room"; on one the settings do not name,
        they are, but where it was found they are where there is room."""
        seams = self.settings.seams
        named = [plane.bolted for plane in seams.planes if plane.id == seam]
        return named[0] if named else "room" if seams.mode == "auto" else True
