"""The body with its seams drawn and its sections tinted: from the front right, in plan and in three elevations."""

from __future__ import annotations

from pathlib import Path

from sections.export.colours import part_colour
from sections.numbers.mesh import Mesh
from sections.pictures.album import THREE_QUARTER
from sections.pictures.names import names_seen
from sections.pictures.render import Item, View, render

_VIEWS = {
    "three-quarter": THREE_QUARTER,
    "plan": View((0.0, 0.0, 1.0), (0.0, 1.0, 0.0)),
    "side": View((0.0, 1.0, 0.0)),
    "front": View((-1.0, 0.0, 0.0)),
    "rear": View((1.0, 0.0, 0.0)),
}


def make_seam_pictures(sections: dict[str, Mesh], root: Path) -> list[str]:
    """Write the pictures of sections, by id, in the vehicle frame; return their paths below `root`."""
    (root / "pictures").mkdir(exist_ok=True)
    items = [Item(mesh, part_colour(number), closed=True) for number, mesh in enumerate(sections.values())]
    views = {f"pictures/seams-{name}.png": view for name, view in _VIEWS.items()}
    render(items, views, root, tags=names_seen(dict(zip(sections, items, strict=True)), views))
    return list(views)
