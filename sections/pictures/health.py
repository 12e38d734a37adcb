"""The pictures of a mesh's health: the skin as glass, a ball in the colour of its kind at each fault."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from sections.numbers.halve import halve, number_edges
from sections.numbers.mesh import Mesh, join
from sections.pictures.render import Caption, Item, View, render
from sections.scan.health import Health

_GLASS, _GLASS_OPACITY = (0.55, 0.6, 0.66), 0.45
_COLOURS = {
    "open": (0.85, 0.1, 0.1),
    "branching": (0.95, 0.5, 0.0),
    "turned": (0.75, 0.1, 0.7),
    "doubled": (0.1, 0.25, 0.85),
    "crossing": (0.55, 0.4, 0.0),
    "inward": (0.0, 0.5, 0.55),
    "within": (0.0, 0.35, 0.2),
    "hollow": (0.9, 0.3, 0.5),
    "touching": (0.1, 0.7, 0.7),
    "small_shells": (0.2, 0.6, 0.1),
    "flat": (0.35, 0.35, 0.35),
    "slivers": (0.1, 0.1, 0.1),
}
# Most balls of one kind, and their radius as a part of the mesh's diagonal.
_MOST, _RADIUS = 250, 0.004
# Faces of a tangle that are drawn.
_DRAWN = 400
# From two opposite corners: what one hides the other shows.
_VIEWS = {"health-front.png": View((-1.0, 0.85, 0.55)), "health-rear.png": View((1.0, -0.85, -0.4))}


def make_health_pictures(health: Health, root: Path) -> list[str]:
    """Write the pictures below `root`; return their names."""
    mesh = health.mesh
    radius = _RADIUS * float(np.linalg.norm(mesh.size))
    # Of a tangle a few faces are drawn: it is seen through as many times as faces lie over one another.
    drawn = mesh.submesh(np.linspace(0, len(mesh) - 1, _DRAWN).astype(int)) if health.tangled else mesh
    items = [Item(drawn, _GLASS, True, _GLASS_OPACITY)]
    captions = []
    for ailment in health.ailments:
        colour, places = _COLOURS[ailment.flaw.code], ailment.flaw.places
        if len(places) > _MOST:
            places = places[np.linspace(0, len(places) - 1, _MOST).astype(int)]
        items.append(Item(_balls(places, radius), colour, edges=False))
        captions.append(Caption(f"{ailment.flaw.count} {ailment.flaw.kind}", colour))
    if not captions:
        captions.append(Caption("nothing found", (0.1, 0.45, 0.15)))
    render(items, _VIEWS, root, captions=captions)
    return list(_VIEWS)


def _balls(places: np.ndarray, radius: float) -> Mesh:
    """Return a ball of 128 faces at each place (k, 3)."""
    ball = _octahedron()
    for _ in range(2):
        edges = number_edges(ball.faces, len(ball.vertices))
        halved = halve(ball.faces, edges, np.ones(len(edges.ends), bool), len(ball.vertices))
        ball = Mesh(np.vstack([ball.vertices, ball.vertices[edges.ends].mean(1)]), halved.faces)
    corners = radius * ball.vertices / np.linalg.norm(ball.vertices, axis=1, keepdims=True)
    return join([Mesh(corners + place, ball.faces) for place in places])


def _octahedron() -> Mesh:
    corners = np.vstack([np.eye(3), -np.eye(3)])
    upper = [[0, 1, 2], [1, 3, 2], [3, 4, 2], [4, 0, 2]]
    lower = [[b, a, 5] for a, b, _ in upper]
    return Mesh(corners, np.array(upper + lower))
