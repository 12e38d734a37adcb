"""Where a scan lies in the vehicle frame: found from places whose vehicle coordinates are known."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation

from sections.errors import PARAMETERS, BadInput, Problem
from sections.numbers.mesh import Mesh
from sections.scan.symmetric import SymmetricPlane
from sections.settings.problems import dotted
from sections.settings.scan import DatumTable, Measured, Target

# A motion the targets hold less than this, against the one they hold most, is not held: 1 mm over 10 m.
_HELD = 1e-4
# Cosine of the angle within which skin looks the same way.
_ALIKE = 0.7
_MOTIONS = (
    "turning about x",
    "turning about y",
    "turning about z",
    "moving along x",
    "moving along y",
    "moving along z",
)


@dataclass(frozen=True)
class Placement:
    """How places of the file come into the vehicle frame: rotation (3, 3) @ place + shift (3,).

    misses : mm, how far each known coordinate is missed, signed, with its target's number and axis.
    """

    rotation: np.ndarray
    shift: np.ndarray
    misses: tuple[tuple[int, str, float], ...]

    @property
    def most(self) -> float:
        """The largest miss, mm."""
        return max((abs(miss) for _, _, miss in self.misses), default=0.0)

    def of(self, mesh: Mesh) -> Mesh:
        """Return a mesh of the file in the vehicle frame."""
        return Mesh(mesh.vertices @ self.rotation.T + self.shift, mesh.faces)


def place_by(
    datum: DatumTable, mesh: Mesh, start: np.ndarray, centre: SymmetricPlane | None, scale: float
) -> Placement:
    """Return where the targets put a mesh that is in mm and scaled. Raises BadInput.

    start : (3, 3) the rotation of body.axes, roughly right. centre : the plane that is y = 0, where it was found. scale
    : factor from the targets' places to the mesh's. All known coordinates count alike (least squares): six that hold
    every motion are met exactly, the 3-2-1 of ISO 5459's datums; more leave misses, which are reported.
    """
    places, axes, values, numbers = [], [], [], []
    for number, target in enumerate(datum.targets):
        for point in _places(target, number, mesh, scale):
            for axis, name in enumerate("xyz"):
                value = getattr(target, name)
                if value is not None:
                    places.append(point), axes.append(axis), values.append(value), numbers.append(number)
    known = np.array(places).reshape(-1, 3), np.array(axes, int), np.array(values, float)
    middle = mesh.bounds.mean(0)
    reach = float(np.linalg.norm(mesh.size)) / 2

    def misses(motion: np.ndarray) -> np.ndarray:
        turn = Rotation.from_rotvec(motion[:3]).as_matrix() @ start
        at = (known[0] - middle) @ turn.T + motion[3:]
        off = at[np.arange(len(at)), known[1]] - known[2]
        if centre is None:
            return off
        normal = turn @ centre.normal
        through = ((centre.offset - centre.normal @ middle) * normal + motion[3:])[1]
        return np.concatenate([off, [reach * normal[0], reach * normal[2], through]])

    first = np.zeros(6)
    first[3:] = start @ middle
    solved = least_squares(misses, first, x_scale=[1 / reach] * 3 + [1.0] * 3, xtol=1e-15, ftol=1e-15, gtol=1e-15)
    _must_hold(solved.jac * np.array([1 / reach] * 3 + [1.0] * 3))
    rotation = Rotation.from_rotvec(solved.x[:3]).as_matrix() @ start
    shift = solved.x[3:] - rotation @ middle
    off = misses(solved.x)[: len(values)]
    missed = tuple((n, "xyz"[a], float(m)) for n, a, m in zip(numbers, axes, off, strict=True))
    placed = Placement(rotation, shift, missed)
    _within(placed, datum.limit)
    return placed


def _places(target: Target, number: int, mesh: Mesh, scale: float) -> np.ndarray:
    """Return the places of a target, (k, 3), in the mesh's own coordinates."""
    points = np.array(target.points) * scale
    if not target.over:
        return points
    found = []
    centres, areas, normals = mesh.triangles.mean(1), mesh.areas_mm2, mesh.normals
    for index, point in enumerate(points):
        away = np.linalg.norm(centres - point, axis=1)
        near = away <= target.over
        # Not the other side of a thin panel: only what looks as the nearest skin does.
        near &= normals @ normals[away.argmin()] > _ALIKE
        if not near.any():
            limit = f"skin within {target.over:g} mm of it"
            key = dotted(("datum", "targets", number, "points", index))
            raise BadInput(
                [Problem(PARAMETERS, key, str(target.points[index]), limit, "correct the place, or take more")]
            )
        found.append(np.average(centres[near], axis=0, weights=np.maximum(areas[near], 1e-300)))
    return np.array(found)


def _must_hold(jacobian: np.ndarray) -> None:
    """Refuse targets that leave a motion free."""
    _, sizes, motions = np.linalg.svd(jacobian, full_matrices=True)
    sizes = np.concatenate([sizes, np.zeros(6 - len(sizes))])
    free = motions[sizes < _HELD * sizes[0]]
    if len(free):
        named = sorted({_MOTIONS[int(np.abs(motion).argmax())] for motion in free})
        limit = f"six motions held; {len(free)} are not: {', '.join(named)}"
        remedy = "add known coordinates; 3-2-1 is z of three places far apart, y of two, x of one"
        raise BadInput([Problem(PARAMETERS, "datum.targets", "", limit, remedy)])


def _within(placed: Placement, limit: float) -> None:
    if placed.most <= limit:
        return
    number, axis, miss = max(placed.misses, key=lambda one: abs(one[2]))
    said = f"every target met within datum.limit, {limit:g} mm; {axis} is missed by {miss:.3g}"
    remedy = "look at the places and at body.scale, or allow more"
    raise BadInput([Problem(PARAMETERS, dotted(("datum", "targets", number)), "", said, remedy)])


def check_distances(measured: list[Measured], scale: float) -> list[str]:
    """Return a line for each true distance the scan shows. Raises BadInput, with the factor, for those it does not."""
    lines, problems = [], []
    for one in measured:
        shown = float(np.linalg.norm(np.subtract(*np.array(one.between)))) * scale
        line = f"measured {one.id}: {shown:.2f} mm in the scan, {one.length:g} true"
        lines.append(line)
        if abs(shown - one.length) > one.tolerance:
            factor = scale * one.length / shown
            limit = f"{one.length:g} mm within {one.tolerance:g}; the scan shows {shown:.2f}"
            remedy = f"body.scale = {factor:.6g} would show it (now {scale:g}); or correct the places"
            problems.append(Problem(PARAMETERS, f"measured.{one.id}", f"{shown:.2f}", limit, remedy))
    if problems:
        raise BadInput(problems)
    return lines
