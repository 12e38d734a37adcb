"""The health of a mesh: what keeps it from being a body, what is merely worth a look, and what each means."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sections.numbers.mesh import Mesh
from sections.numbers.self_contact import Apart
from sections.scan.sound_mesh import at_door
from sections.scan.surfaces import JoinedFaces, OpenRim, Rims, open_rims, surfaces_of
from sections.scan.symmetric import SymmetricPlane, symmetric_planes
from sections.solids.crossing import faces_near
from sections.solids.soundness import FOLDS_PER_DEVIATION, Flaw, solid_flaws

# Parts of the mesh's diagonal: a surface smaller than the one is a speck, faces narrower than the other are slivers.
_SPECK, _SLIVER = 0.01, 1e-7
# A face of a tangle has so many others' boxes in its own.
_TANGLED = 400.0
_MEANS = {
    "open": "the skin ends there: inside and outside cannot be distinguished, no wall can be laid under it",
    "branching": "three or more faces meet there: which of them is skin is not clear",
    "turned": "inside and outside change places there: the wall would jump from one side of the skin to the other",
    "doubled": "the skin lies there twice: each wall would be made twice, in the same place",
    "crossing": "the skin passes through itself, or bodies overlap: faces inside would be taken for skin",
    "inward": "the skin looks inward: the wall would be laid on its outside",
    "within": "a body lies within another, or over it: faces inside would be taken for skin",
    "hollow": "the body is hollow already: walls and flanges are laid within what is there, and find little room",
    "touching": "parts meet there without any width; each gets corners of its own, which moves nothing",
    "small_shells": "surfaces of their own, too small to be body: each would be a section, or dust",
    "flat": "faces without area have no outside; they are left out, which moves nothing",
    "slivers": "faces this narrow have a direction by chance; they print, and slow every step down",
}


@dataclass(frozen=True)
class Ailment:
    """One kind of fault, whether a build refuses the body for it, and what it means for printing."""

    flaw: Flaw
    stops: bool

    @property
    def means(self) -> str:
        """What comes of it in print."""
        return _MEANS[self.flaw.code]


@dataclass(frozen=True)
class Health:
    """What was found. mesh : welded as a build would. given : triangles in the file. symmetry : best plane first; none
    is looked for in a tangle, as noise is: where faces lie all over one another none is nearest."""

    mesh: Mesh
    given: int
    surfaces: tuple[JoinedFaces, ...]
    holes: tuple[OpenRim, ...]
    ailments: tuple[Ailment, ...]
    symmetry: tuple[SymmetricPlane, ...]
    tangled: bool

    @property
    def speck(self) -> float:
        """The size, mm, below which a surface of its own is a speck."""
        return _SPECK * float(np.linalg.norm(self.mesh.size))

    @property
    def is_sound(self) -> bool:
        """Whether a build takes it as it is."""
        return not any(ailment.stops for ailment in self.ailments)


def examine(mesh: Mesh, deviation: float) -> Health:
    """Return the health of a mesh, mm. deviation : mesh.deviation of the build it is for.

    What stops a build is found by the functions the build itself refuses by.
    """
    apart = at_door(mesh, deviation)
    welded = apart.mesh
    rims = Rims.of(welded)
    surfaces, number = surfaces_of(welded, rims)
    ailments = [Ailment(flaw, True) for flaw in solid_flaws(welded, deviation / FOLDS_PER_DEVIATION)]
    ailments += [Ailment(flaw, False) for flaw in _worth_a_look(mesh, apart, surfaces, number)]
    tangled = faces_near(welded) > _TANGLED
    return Health(
        welded,
        len(mesh),
        tuple(surfaces),
        tuple(open_rims(welded, rims)),
        tuple(ailments),
        () if tangled else tuple(symmetric_planes(welded)),
        tangled,
    )


def _worth_a_look(mesh: Mesh, apart: Apart, surfaces: list[JoinedFaces], number: np.ndarray) -> list[Flaw]:
    welded, touching = apart.mesh, np.vstack([apart.edges, apart.corners])
    diagonal = float(np.linalg.norm(welded.size))
    extents = np.array([surface.diagonal for surface in surfaces])
    small = np.flatnonzero((extents < _SPECK * diagonal) & (np.arange(len(surfaces)) > 0))

    def centres_of(some: list[JoinedFaces]) -> np.ndarray:
        return np.array([one.bounds.mean(0) for one in some]).reshape(-1, 3)

    inner = [one for one in surfaces if one.volume is not None and one.volume < 0 < (surfaces[0].volume or 0)]
    specks, speck = [surfaces[n] for n in small], f"{_SPECK * diagonal:.3g} mm"
    widths = mesh.widths
    flat, thin = widths == 0, welded.widths < _SLIVER * diagonal
    found = [
        ("hollow", "inner surfaces", len(inner), centres_of(inner), "give the outer form alone, solid"),
        ("touching", "edges and corners that parts only touch in", len(touching), touching, "nothing"),
        ("small_shells", f"surfaces smaller than {speck}", len(small), centres_of(specks), "drop them"),
        ("flat", "faces without area", int(flat.sum()), mesh.triangles[flat].mean(1), "nothing"),
        ("slivers", f"faces narrower than {_SLIVER * diagonal:.1g} mm", int(thin.sum()),
         welded.triangles[thin].mean(1), "mesh it more evenly"),
    ]  # fmt: skip
    return [Flaw(*one) for one in found if one[2]]
