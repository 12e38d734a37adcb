"""The pictures of a build: assembled, apart, and one section from inside."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from sections.export.colours import part_colour
from sections.numbers.frame import Frame, Plane, frame_on
from sections.numbers.mesh import Mesh
from sections.pictures.names import names_seen
from sections.pictures.render import Item, View, render
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid

# From the front right, a little above.
THREE_QUARTER = View((-1.0, 0.85, 0.55))
# Test prints: from the front and above; mm, a row's length and what is left between.
_OVER, _ROW, _BETWEEN, COUPON_PICTURE = View((0.15, -0.9, 1.25)), 190.0, 8.0, "pictures/coupons.png"
# Sheet, as plywood looks.
_BOARD = (0.80, 0.66, 0.46)
# A face that is cut through.
_CUT = (0.86, 0.42, 0.20)
# What is kept off, what is seen through, and the bar where they come nearest; mm, half its least length.
_KEPT_OFF, _THROUGH, _BAR, _SHOWN = (0.80, 0.45, 0.32), (0.62, 0.70, 0.74), (0.10, 0.10, 0.10), 12.0
# How far a section is moved out, as a part of its distance from the middle.
_APART = 0.42


def make_pictures(sections: dict[str, Mesh], inside: str, label: Frame, root: Path) -> list[str]:
    """Write the pictures of built sections, by id, in the vehicle frame; return their paths below `root`.

    inside : the section shown on its own, from its inner side. label : the frame of its label, z off the inner face.
    """
    names = {
        "assembled": "pictures/assembled.png",
        "apart": "pictures/apart.png",
        "inside": f"pictures/inside-{inside}.png",
    }
    (root / "pictures").mkdir(exist_ok=True)
    colours = {section_id: part_colour(number) for number, section_id in enumerate(sections)}
    bounds = np.array([mesh.bounds for mesh in sections.values()])
    middle = (bounds[:, 0].min(0) + bounds[:, 1].max(0)) / 2
    whole = [Item(mesh, colours[i]) for i, mesh in sections.items()]
    apart = [Item(_moved(mesh, middle), colours[i]) for i, mesh in sections.items()]
    render(whole, {names["assembled"]: THREE_QUARTER}, root)
    views = {names["apart"]: THREE_QUARTER}
    render(apart, views, root, tags=names_seen(dict(zip(sections, apart, strict=True)), views))
    alone = Item(sections[inside], colours[inside])
    render([alone], {names["inside"]: _from_inside(np.array(label.z), np.array(label.y))}, root)
    return list(names.values())


def make_coupon_picture(coupons: dict[str, Mesh], root: Path) -> str:
    """Write a picture of test prints, by id, beside one another as they lie on the bed; return its path below
    `root`."""
    (root / "pictures").mkdir(exist_ok=True)
    items, left, back, deep = [], 0.0, 0.0, 0.0
    for number, mesh in enumerate(coupons.values()):
        low, high = mesh.bounds
        if left > 0 and left + high[0] - low[0] > _ROW:
            left, back, deep = 0.0, back - deep - _BETWEEN, 0.0
        shift = np.array([left - low[0], back - high[1], -low[2]])
        items.append(Item(Mesh(mesh.vertices + shift, mesh.faces), part_colour(number)))
        left, deep = left + high[0] - low[0] + _BETWEEN, max(deep, high[1] - low[1])
    render(items, {COUPON_PICTURE: _OVER}, root)
    return COUPON_PICTURE


def make_jig_pictures(sections: dict[str, Mesh], jig: dict[str, Mesh], root: Path) -> list[str]:
    """Write the pictures of a jig, its parts by id, in the vehicle frame: alone, and with the sections on it."""
    names = ["pictures/jig.png", "pictures/on-jig.png"]
    (root / "pictures").mkdir(exist_ok=True)
    board = [Item(mesh, _BOARD) for mesh in jig.values()]
    body = [Item(mesh, part_colour(number)) for number, mesh in enumerate(sections.values())]
    render(board, {names[0]: THREE_QUARTER}, root)
    render([*board, *body], {names[1]: THREE_QUARTER}, root)
    return names


def make_cut_picture(section: Mesh, frame: Frame, reach: float, root: Path, name: str) -> str:
    """Write the picture of what a section carries at a frame, cut through along its x and z, within `reach` mm; the cut
    face tinted. name : of the picture. Return its path below `root`."""
    path = f"pictures/{name}.png"
    (root / "pictures").mkdir(exist_ok=True)
    x, y, z = np.array(frame.x), np.array(frame.y), np.array(frame.z)
    on_cut = Frame(frame.origin, tuple(x), tuple(-z), tuple(y))
    near = PrintSolid.box(np.full(3, -reach), np.full(3, reach)).placed(frame).common(PrintSolid.of(section, name))
    behind = near.clip([Plane(tuple(y), float(y @ np.array(frame.origin)))])
    face = PrintSolid.prism(near.section_at(on_cut), -0.2, 0.0).placed(on_cut)
    items = [Item(behind.mesh(), part_colour(0)), Item(face.mesh(), _CUT, edges=False)]
    render(items, {path: View(tuple(-y + 0.25 * x + 0.2 * z), tuple(z))}, root)
    return path


def make_guide_picture(section: Mesh, guide: Mesh, frame: Frame, root: Path) -> str:
    """Write the picture of a drill guide on its section, seen from out of the seam; return its path below `root`.

    frame : on the seam, z out of the section.
    """
    name = "pictures/guide.png"
    (root / "pictures").mkdir(exist_ok=True)
    x, y, z = (np.array(axis) for axis in (frame.x, frame.y, frame.z))
    up = (0.0, 0.0, 1.0) if abs(z[2]) < 0.9 else (1.0, 0.0, 0.0)
    toward = View(tuple(z + 0.7 * x + 0.4 * y), up)
    render([Item(section, _THROUGH), Item(guide, _CUT)], {name: toward}, root)
    return name


def make_keep_out_picture(sections: dict[str, Mesh], kept_off: list[Mesh], root: Path) -> str:
    """Write the picture of what sections keep off, seen through them, with a bar where the nearest comes nearest to
    each; return its path below `root`."""
    name = "pictures/keep-outs.png"
    (root / "pictures").mkdir(exist_ok=True)
    body = [Item(mesh, _THROUGH, edges=False, opacity=0.25) for mesh in sections.values()]
    things = [Item(mesh, _KEPT_OFF) for mesh in kept_off]
    bars = [Item(_nearest_bar(list(sections.values()), mesh), _BAR) for mesh in kept_off]
    render([*things, *bars, *body], {name: THREE_QUARTER}, root)
    return name


def _nearest_bar(sections: list[Mesh], other: Mesh) -> Mesh:
    """Return a thin bar along the nearest approach of any section to a mesh, by their corners."""
    surface, best = MeshDistance(other), None
    for mesh in sections:
        away, _, at = surface.nearest(mesh.vertices)
        number = int(away.argmin())
        if best is None or away[number] < best[0]:
            best = away[number], mesh.vertices[number], at[number]
    _, start, stop = best
    along = stop - start if np.linalg.norm(stop - start) > 1 else np.array([0.0, 0.0, 1.0])
    frame = frame_on((start + stop) / 2, along / np.linalg.norm(along))
    reach = max(np.linalg.norm(along) / 2, _SHOWN)
    corners = np.array([(x, y, z) for x in (-4, 4) for y in (-4, 4) for z in (-reach, reach)], float)
    return PrintSolid.hull(frame.to_world(corners)).mesh()


def _moved(mesh: Mesh, middle: np.ndarray) -> Mesh:
    return Mesh(mesh.vertices + _APART * (mesh.bounds.mean(0) - middle), mesh.faces)


def _from_inside(inward: np.ndarray, up: np.ndarray) -> View:
    """Return the view onto the inner face, turned aside a little so that depth shows."""
    seen = inward + 0.45 * np.cross(up, inward) - 0.35 * np.asarray(up)
    return View(tuple(float(c) for c in seen), tuple(float(c) for c in up))
