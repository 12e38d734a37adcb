"""The pictures of a build: assembled, apart, and one section from inside."""

from __future__ import annotations

import colorsys
from pathlib import Path

import numpy as np

from sections.numbers.mesh import Mesh
from sections.pictures.render import Item, View, render

# From the front right, a little above.
_THREE_QUARTER = View((-1.0, 0.85, 0.55))
# How far a section is moved out, as a part of its distance from the middle.
_APART = 0.42
# Hues are stepped by this part of the circle, so that neighbours in the list differ.
_HUE_STEP = 0.381966


def make_pictures(sections: dict[str, Mesh], inside: str, root: Path) -> list[str]:
    """Write the pictures of built sections, by id, in the vehicle frame; return their paths below `root`.

    inside : the section shown on its own, from its inner side.
    """
    names = {
        "assembled": "pictures/assembled.png",
        "apart": "pictures/apart.png",
        "inside": f"pictures/inside-{inside}.png",
    }
    (root / "pictures").mkdir(exist_ok=True)
    colours = {section_id: _colour(number) for number, section_id in enumerate(sections)}
    middle = (
        np.min([m.bounds[0] for m in sections.values()], 0) + np.max([m.bounds[1] for m in sections.values()], 0)
    ) / 2
    whole = [Item(mesh, colours[i]) for i, mesh in sections.items()]
    apart = [Item(_moved(mesh, middle), colours[i]) for i, mesh in sections.items()]
    render(whole, _THREE_QUARTER, root / names["assembled"])
    render(apart, _THREE_QUARTER, root / names["apart"])
    render([Item(sections[inside], colours[inside])], _from_inside(sections[inside], middle), root / names["inside"])
    return list(names.values())


def busiest(joints: dict[str, int]) -> str:
    """Return the id of the section with the most joints, the first of equals: the one worth a look."""
    return max(joints, key=lambda section_id: joints[section_id])


def _colour(number: int) -> tuple[float, float, float]:
    """Return a muted colour, far from that of the number before."""
    return colorsys.hls_to_rgb((0.08 + number * _HUE_STEP) % 1.0, 0.62 + 0.08 * (number % 3 - 1), 0.34)


def _moved(mesh: Mesh, middle: np.ndarray) -> Mesh:
    return Mesh(mesh.vertices + _APART * (mesh.bounds.mean(0) - middle), mesh.faces)


def _from_inside(mesh: Mesh, middle: np.ndarray) -> View:
    """Return the view from the body's middle line, turned aside a little so that depth shows."""
    toward = (middle - mesh.bounds.mean(0)) * (0.4, 1.0, 1.0)
    toward = toward / max(float(np.linalg.norm(toward)), 1e-9)
    # Straight down has no upright of its own: then the picture's top is the front.
    up = (0.0, 0.0, 1.0) if abs(toward[2]) < 0.9 else (-1.0, 0.0, 0.0)
    aside = np.cross(up, toward)
    seen = toward + 0.35 * aside + 0.15 * np.array(up)
    return View(tuple(float(c) for c in seen), up, 1.35)
