"""The pictures of a build: assembled, apart, and one section from inside."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from sections.export.colours import part_colour
from sections.numbers.frame import Frame
from sections.numbers.mesh import Mesh
from sections.pictures.render import Item, View, render

# From the front right, a little above.
THREE_QUARTER = View((-1.0, 0.85, 0.55))
# Sheet, as plywood looks.
_BOARD = (0.80, 0.66, 0.46)
# How far a section is moved out, as a part of its distance from the middle.
_APART = 0.42


def make_pictures(sections: dict[str, Mesh], inside: str, mark: Frame, root: Path) -> list[str]:
    """Write the pictures of built sections, by id, in the vehicle frame; return their paths below `root`.

    inside : the section shown on its own, from its inner side. mark : the frame of its mark, z off the inner face.
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
    render(whole, THREE_QUARTER, root / names["assembled"])
    render(apart, THREE_QUARTER, root / names["apart"])
    alone = Item(sections[inside], colours[inside])
    render([alone], _from_inside(np.array(mark.z), np.array(mark.y)), root / names["inside"])
    return list(names.values())


def make_jig_pictures(sections: dict[str, Mesh], jig: dict[str, Mesh], root: Path) -> list[str]:
    """Write the pictures of a jig, its parts by id, in the vehicle frame: alone, and with the sections on it."""
    names = ["pictures/jig.png", "pictures/on-jig.png"]
    (root / "pictures").mkdir(exist_ok=True)
    board = [Item(mesh, _BOARD) for mesh in jig.values()]
    body = [Item(mesh, part_colour(number)) for number, mesh in enumerate(sections.values())]
    render(board, THREE_QUARTER, root / names[0])
    render([*board, *body], THREE_QUARTER, root / names[1])
    return names


def _moved(mesh: Mesh, middle: np.ndarray) -> Mesh:
    return Mesh(mesh.vertices + _APART * (mesh.bounds.mean(0) - middle), mesh.faces)


def _from_inside(inward: np.ndarray, up: np.ndarray) -> View:
    """Return the view onto the inner face, turned aside a little so that depth shows."""
    seen = inward + 0.45 * np.cross(up, inward) - 0.35 * np.asarray(up)
    return View(tuple(float(c) for c in seen), tuple(float(c) for c in up))
