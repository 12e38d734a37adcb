"""A skin coloured by a distance at every corner: how far it was moved, how far it is from its mirror image."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from sections.numbers.mesh import Mesh
from sections.pictures.render import Caption, Item, View, render
from sections.scan.symmetric import SymmetricPlane, asymmetry_map

# From pale, where nothing is, through ochre to dark red; what is beyond the scale stands apart.
_RAMP = np.array([[0.87, 0.88, 0.86], [0.93, 0.78, 0.42], [0.82, 0.38, 0.16], [0.42, 0.05, 0.1]])
_BEYOND = (0.16, 0.36, 0.62)
_VIEWS = {"front": View((-1.0, 0.85, 0.55)), "rear": View((1.0, -0.85, -0.4))}
_MARKS = 4
# mm; the least end of an asymmetry's scale.
_LEAST = 0.1
# Letters are drawn darker than the skin they speak of.
_INK = 0.8


def make_maps(mesh: Mesh, values: np.ndarray, most: float, words: tuple[str, str], name: str, root: Path) -> list[str]:
    """Write two pictures, <name>-front.png and <name>-rear.png, below `root`; return their names.

    values : (n,) mm, at the corners. most : mm, the end of the scale. words : what the scale tells, and what it means
    to be beyond it.
    """
    what, beyond = words
    colours = _colour(values, most)
    captions = [Caption(what, (0.1, 0.1, 0.1))]
    captions += [
        Caption(f"{v:.3g} mm", tuple(_INK * _colour(np.array([v]), most)[0])) for v in np.linspace(0, most, _MARKS)
    ]
    if (values > most).any():
        captions.append(Caption(beyond, _BEYOND))
    views = {f"{name}-{side}.png": view for side, view in _VIEWS.items()}
    render([Item(mesh, colours, edges=False)], views, root, captions=captions)
    return list(views)


def make_asymmetry_maps(mesh: Mesh, plane: SymmetricPlane, name: str, root: Path) -> list[str]:
    """Write two pictures of a skin coloured by its distance from its mirror image in a plane; return their names."""
    words = ("distance from its own mirror image", "more than that")
    return make_maps(mesh, asymmetry_map(mesh, plane), max(2 * plane.most, _LEAST), words, name, root)


def _colour(values: np.ndarray, most: float) -> np.ndarray:
    """Return a colour, (n, 3), for each value."""
    place = (values / max(most, 1e-12)).clip(0, 1)
    steps = np.linspace(0, 1, len(_RAMP))
    colours = np.column_stack([np.interp(place, steps, channel) for channel in _RAMP.T])
    colours[values > most * (1 + 1e-9)] = _BEYOND
    return colours
