"""The skin that openings leave."""

from __future__ import annotations

import numpy as np

from sections.body.body import Body
from sections.numbers.mesh import Mesh, weld_exact
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid

# mm; how far it may be off the true skin.
COARSE = 0.3


def shown_skin(body: Body) -> Mesh:
    """Return the skin left by the openings, panels that open taken out, in fewer triangles, within COARSE mm."""
    solid = PrintSolid.of(body.block, "body").cut([PrintSolid.of((o.panel or o).mesh, o.id) for o in body.openings])
    mesh = weld_exact(solid.simplified(COARSE).mesh())
    away, face, _ = MeshDistance(body.skin).nearest(mesh.triangles.mean(1))
    alike = np.einsum("nj,nj->n", mesh.normals, body.skin.normals[face]) > 0
    return mesh.submesh((away < 2 * COARSE) & alike).compact()
