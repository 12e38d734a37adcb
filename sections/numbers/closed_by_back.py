"""An open mesh closed by a back of its own."""

from __future__ import annotations

import numpy as np

from sections.numbers.halve import number_edges
from sections.numbers.mesh import Mesh


def backed(mesh: Mesh, back: np.ndarray) -> tuple[Mesh, Mesh]:
    """Return (an open mesh, its back and the strip between as one closed mesh; the strip alone).

    back : (n, 3) mm, where each corner of the mesh comes to lie on the back. The mesh's own faces come first, then
    those of the back in the same order, then two for each edge of the rim.
    """
    count = len(mesh.vertices)
    edges = number_edges(mesh.faces, count)
    use = edges.first[edges.uses == 1]
    # An edge's use k lies opposite corner k: it runs from the next corner to the one after.
    start, stop = mesh.faces[use // 3, (use + 1) % 3], mesh.faces[use // 3, (use + 2) % 3]
    strip = np.column_stack([stop, start, start + count, stop, start + count, stop + count]).reshape(-1, 3)
    closed = Mesh(np.vstack([mesh.vertices, back]), np.vstack([mesh.faces, mesh.faces[:, ::-1] + count, strip]))
    return closed, Mesh(closed.vertices, strip).compact()
