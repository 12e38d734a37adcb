"""Alpha wraps by CGAL, by way of a file: its Python interface hands over no arrays."""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np
import trimesh

from sections.numbers.mesh import Mesh


def alpha_wrap(soup: Mesh, alpha: float, offset: float) -> Mesh:
    """Return the alpha wrap of a soup, closed, `offset` mm outside it, by CGAL. alpha : mm, the ball that rolls over it
    gets in where it finds room."""
    from CGAL.CGAL_Alpha_wrap_3 import Int_Vector, Point_3_Vector, Polygon_Vector, alpha_wrap_3
    from CGAL.CGAL_Kernel import Point_3
    from CGAL.CGAL_Polyhedron_3 import Polyhedron_3

    points, faces, out = Point_3_Vector(), Polygon_Vector(), Polyhedron_3()
    for x, y, z in soup.vertices.tolist():
        points.append(Point_3(x, y, z))
    for face in soup.faces.tolist():
        faces.append(Int_Vector(face))
    alpha_wrap_3(points, faces, alpha, offset, out)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "wrap.off"
        out.write_to_file(str(path))
        read = trimesh.load_mesh(path, process=False)
    return Mesh(np.array(read.vertices), np.array(read.faces))
