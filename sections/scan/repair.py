"""Repairing: the steps, in their order, each measured by how far it moved the skin."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from sections.errors import BadInput, BuildFailed, Problem
from sections.numbers.mesh import Mesh, shell_numbers, weld
from sections.numbers.words import figures, place_words
from sections.scan.moved import Movement, movement
from sections.scan.surfaces import Rims, surfaces_of
from sections.scan.wrapped import wrap_of
from sections.settings.scan import HalfTable, RepairTable
from sections.solids.crossing import crossing_faces
from sections.solids.distance import MeshDistance
from sections.solids.duplicates import without_duplicates
from sections.solids.envelope import outer_envelope
from sections.solids.hems import without_hems
from sections.solids.orienting import turn_alike
from sections.solids.patching import close_holes
from sections.solids.print_solid import PrintSolid
from sections.solids.simplifying import fewer_triangles, fewer_triangles_open
from sections.solids.smoothing import smoothed

_SHOWN = 3
# What part of what is allowed simplifying is tried with.
_PARTS = (1.0, 0.5, 0.25, 0.12)


@dataclass(frozen=True)
class RepairOrder:
    """What a step is asked. repair : the table. outside : (3,) a direction most of an open skin looks toward, or None.
    fold : mm, faces may pass through others by this much. what : the file, for messages. half : what is to be mirrored,
    or None."""

    repair: RepairTable
    outside: list[float] | None
    fold: float
    what: str
    half: HalfTable | None = None


@dataclass(frozen=True)
class Change:
    """What a step made. text : in words. added : (m,) faces of the mesh that are new. lost : faces of the one before
    that were taken out on purpose. None where there are none. unwanted : what of it the body is not to have."""

    mesh: Mesh
    text: str
    added: np.ndarray | None = None
    lost: np.ndarray | None = None
    unwanted: Mesh | None = None


@dataclass(frozen=True)
class Done:
    """A step that was taken: its key, what it did, and how far the skin was moved, as measured."""

    key: str
    text: str
    moved: Movement

    def __str__(self) -> str:
        moved = "not moved" if self.moved.most < 1e-6 else f"moved by at most {self.moved.most:.3g} mm"
        return f"repair.{self.key}: {self.text}; skin {moved}"


Step = Callable[[Mesh, RepairOrder], Change | None]


@dataclass(frozen=True)
class Repaired:
    """A mesh after some steps. done : what each did. spent : mm, the sum of what they moved the skin: no place of it is
    further than that from where it was. unwanted : what was taken out that the body is not to have, None without."""

    mesh: Mesh
    done: tuple[Done, ...]
    spent: float
    unwanted: Mesh | None = None


def repair(
    mesh: Mesh,
    order: RepairOrder,
    steps: tuple[tuple[str, Step], ...],
    spent: float = 0.0,
    say: Callable[[str], None] = lambda line: None,
) -> Repaired:
    """Return a mesh after the steps that are asked for. spent : mm, what was moved before. say : given what a step did
    as soon as it is done.

    Raises BadInput where a step would take what was moved in all past repair.limit.
    """
    done, unwanted = [], None
    for key, step in steps:
        change = step(mesh, order) if len(mesh) else None
        if change is None:
            continue
        moved = movement(mesh, change.mesh, added=change.added, lost=change.lost)
        spent += moved.most
        if spent > order.repair.limit:
            limit = (
                f"skin moved by at most repair.limit, {order.repair.limit:g} mm, by all steps together; this one would "
                f"move it {moved.most:.3g} mm at {place_words(moved.at)}, {spent:.3g} in all"
            )
            raise BadInput([Problem(order.what, f"repair.{key}", "", limit, "ask less, or allow more")])
        mesh, unwanted = change.mesh, change.unwanted or unwanted
        done.append(Done(key, change.text, moved))
        say(str(done[-1]))
    return Repaired(mesh, tuple(done), spent, unwanted)


def _weld(mesh: Mesh, order: RepairOrder) -> Change | None:
    if not order.repair.weld:
        return None
    made = weld(mesh, order.repair.weld)
    collapsed = len(mesh) - len(made)
    return Change(
        made, f"{len(mesh.vertices) - len(made.vertices)} corners made one with others, {collapsed} faces with them"
    )


def _duplicate_faces(mesh: Mesh, order: RepairOrder) -> Change | None:
    if not order.repair.duplicate_faces:
        return None
    stays = without_duplicates(mesh)
    # What lay on another face is still there; only both sides of a membrane are gone.
    return Change(mesh.submesh(stays), f"{int((~stays).sum())} faces that lay on others taken out", lost=~stays)


def _small_shells(mesh: Mesh, order: RepairOrder) -> Change | None:
    if not order.repair.small_shells:
        return None
    surfaces, number = surfaces_of(mesh, Rims.of(mesh))
    small = [n for n, one in enumerate(surfaces) if one.diagonal <= order.repair.small_shells]
    lost = np.isin(number, small)
    area = float(mesh.areas_mm2[lost].sum())
    at = _places(np.array([surfaces[n].bounds.mean(0) for n in small]))
    return Change(mesh.submesh(~lost), f"{len(small)} surfaces taken out, {figures(area)} mm2{at}", lost=lost)


def _orient(mesh: Mesh, order: RepairOrder) -> Change | None:
    if not order.repair.orient:
        return None
    turned = turn_alike(mesh, order.outside)
    ways = ", ".join(f"{turned.by.count(way)} by {way}" for way in sorted(set(turned.by)))
    return Change(turned.mesh, f"{int(turned.turned.sum())} faces turned (outside known by patches: {ways})")


def _hems(mesh: Mesh, order: RepairOrder) -> Change | None:
    if not order.repair.hems:
        return None
    lost = ~without_hems(mesh, order.repair.hems, order.outside)
    if not lost.any():
        return None
    parts = shell_numbers(hems := mesh.submesh(lost).compact())
    shown = np.array([hems.submesh(parts == number).bounds.mean(0) for number in range(parts.max() + 1)])
    text = f"{len(shown)} rims folded back under the skin cut off, {figures(hems.areas_mm2.sum())} mm2{_places(shown)}"
    return Change(mesh.submesh(~lost).compact(), text, lost=lost, unwanted=hems)


def _holes(mesh: Mesh, order: RepairOrder) -> Change | None:
    if not order.repair.holes:
        return None
    made = close_holes(mesh, order.repair.holes, _to_be_trimmed(mesh, order), smooth=order.repair.patch == "smooth")
    if not len(made.closed) and not len(made.left):
        return None
    area = float(made.mesh.areas_mm2[made.added].sum())
    kept = f", {len(made.left)} larger left open{_places(made.left)}" if len(made.left) else ""
    through = np.intersect1d(crossing_faces(made.mesh, order.fold), np.flatnonzero(made.added))
    if len(through):
        at = _places(made.mesh.triangles[through].mean(1))
        kept += f"; {len(through)} faces of the new skin pass through other skin{at}: such a hole is no plain one"
    text = f"{len(made.closed)} holes closed {order.repair.patch}, {figures(area)} mm2 of new skin"
    return Change(made.mesh, text + _places(made.closed) + kept, added=made.added)


def _to_be_trimmed(mesh: Mesh, order: RepairOrder) -> np.ndarray | None:
    """Return the corners, (n,), beyond the centre plane of a half or within reach of it: rims there are closed when it
    is mirrored, or after that."""
    if order.half is None:
        return None
    return mesh.vertices[:, 1] * (1 if order.half.side == "right" else -1) <= order.half.reach


def _holes_again(mesh: Mesh, order: RepairOrder) -> Change | None:
    """Close what mirroring has left along the centre plane."""
    change = _holes(mesh, replace(order, half=None))
    return change if change is not None and change.added.any() else None


def _envelope(mesh: Mesh, order: RepairOrder) -> Change | None:
    if not order.repair.envelope:
        return None
    made = outer_envelope(mesh)
    lost = np.ones(len(mesh), bool)
    lost[made.born] = False
    if lost.any() and len(made.mesh):
        _must_lie_inside(mesh, lost, made.mesh, order)
    text = f"{int(lost.sum())} faces inside taken out, {len(made.mesh)} cut or kept of {len(mesh)}"
    text += _left_out(mesh, lost)
    # A face that is kept in part is inside in its other part: only what is left is measured.
    return Change(made.mesh, text, lost=np.ones(len(mesh), bool))


def _left_out(mesh: Mesh, lost: np.ndarray) -> str:
    """Say which surfaces are gone with every face, largest first, and where. lost : (m,) bool."""
    number = shell_numbers(mesh)
    gone = np.flatnonzero(np.bincount(number, lost) == np.bincount(number))
    if not len(gone):
        return ""
    bounds = np.array([mesh.submesh(number == one).bounds for one in gone])
    bounds = bounds[np.argsort(-np.linalg.norm(bounds[:, 1] - bounds[:, 0], axis=1), kind="stable")]
    shown = [
        f"{' x '.join(f'{length:.0f}' for length in high - low)} mm at {place_words((low + high) / 2)}"
        for low, high in bounds[:_SHOWN]
    ]
    more = " ..." if len(bounds) > _SHOWN else ""
    return f"; {len(gone)} surface{'s' * (len(gone) > 1)} wholly inside left out: {'; '.join(shown)}{more}"


def _wrap(mesh: Mesh, order: RepairOrder) -> Change | None:
    repair = order.repair
    if not repair.wrap:
        return None
    free = repair.limit - repair.sew - repair.weld - repair.smooth - repair.simplify
    made = wrap_of(mesh, repair.wrap, free, order.fold, order.what)
    return Change(made.mesh, made.text, added=made.bridged, lost=made.inside)


def _must_lie_inside(mesh: Mesh, lost: np.ndarray, outer: Mesh, order: RepairOrder) -> None:
    """Refuse to take out faces that stand out of what is left."""
    centres = mesh.triangles[lost].mean(1)
    depth = MeshDistance(outer).depth(centres)
    worst = int(depth.argmin())
    if -depth[worst] > order.repair.limit:
        limit = f"an outside that is closed enough to tell; skin {-depth[worst]:.3g} mm outside would be lost at "
        remedy = "close the holes near it (repair.holes), or turn the faces there (repair.orient)"
        raise BadInput([Problem(order.what, "repair.envelope", "true", limit + place_words(centres[worst]), remedy)])


def _smooth(mesh: Mesh, order: RepairOrder) -> Change | None:
    if not order.repair.smooth:
        return None
    made = smoothed(mesh, order.repair.smooth, order.repair.crease, order.fold)
    off = np.linalg.norm(made.vertices - mesh.vertices, axis=1)
    held = float((off == 0).mean())
    text = f"corners moved by {np.sqrt((off**2).mean()):.3g} mm (root mean square), {100 * held:.0f} % held on creases"
    return Change(made, text)


def _simplify(mesh: Mesh, order: RepairOrder) -> Change | None:
    if not order.repair.simplify:
        return None
    is_open = len(Rims.of(mesh).faces) > 0
    # The library's own bound is for each triangle it takes away; what comes of them all is measured.
    for part in _PARTS:
        tolerance = part * order.repair.simplify
        try:
            if is_open:
                made = fewer_triangles_open(mesh, tolerance, order.what)
            else:
                made = fewer_triangles(PrintSolid.of(mesh, order.what), tolerance).mesh()
        except BuildFailed as error:
            problem = Problem(
                order.what, "repair.simplify", "", f"a sound skin to simplify ({error})", "repair it first"
            )
            raise BadInput([problem]) from None
        if movement(mesh, made).most <= order.repair.simplify and not len(crossing_faces(made, order.fold)):
            break
    return Change(made, f"{len(mesh)} triangles became {len(made)}")


# Before a half is mirrored, and after: holes beside the centre plane are closed before, so that both sides are alike.
FIRST: tuple[tuple[str, Step], ...] = (
    ("weld", _weld),
    ("duplicate_faces", _duplicate_faces),
    ("small_shells", _small_shells),
    ("orient", _orient),
    ("hems", _hems),
    ("holes", _holes),
)
THEN: tuple[tuple[str, Step], ...] = (
    ("holes", _holes_again),
    ("envelope", _envelope),
    ("wrap", _wrap),
    ("smooth", _smooth),
    ("simplify", _simplify),
)


def _places(points: np.ndarray) -> str:
    shown = "; ".join(place_words(point) for point in points[:_SHOWN])
    return f" at {shown}{' ...' if len(points) > _SHOWN else ''}" if len(points) else ""
