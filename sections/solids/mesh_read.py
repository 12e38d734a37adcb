"""Reading closed meshes: STL, OBJ, PLY by trimesh, 3MF by lib3mf."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from sections.errors import BadInput, Problem
from sections.numbers.mesh import Mesh, join

_MM_UNITS = {
    "MicroMeter": "um",
    "MilliMeter": "mm",
    "CentiMeter": "cm",
    "Inch": "in",
    "Foot": "ft",
    "Meter": "m",
}


def read_mesh(path: Path) -> tuple[Mesh, str]:
    """Return (triangles as the file gives them, length unit the file states or "?").

    Nothing is welded or mended. Raises BadInput for a file that cannot be read or holds no triangles.
    """
    mesh, unit = _read_3mf(path) if path.suffix.lower() == ".3mf" else (_read_plain(path), "?")
    if not len(mesh):
        raise _refused(path, "a mesh with triangles in it", "export the body again")
    if not np.isfinite(mesh.vertices).all():
        bad = int((~np.isfinite(mesh.vertices).all(1)).sum())
        raise _refused(path, f"finite coordinates; {bad} corners are not numbers", "export the body again")
    return mesh, unit


def _read_plain(path: Path) -> Mesh:
    import trimesh

    try:
        loaded = trimesh.load(path, process=False, force="mesh", skip_materials=True)
    except Exception as error:  # the reader meets any file at all and raises whatever its parsers raise
        raise _refused(path, f"a mesh that can be read ({type(error).__name__}: {error})", "export it again") from error
    faces = np.asarray(getattr(loaded, "faces", np.empty((0, 3))))
    vertices = np.asarray(getattr(loaded, "vertices", np.empty((0, 3))))
    if len(faces) and (faces.min() < 0 or faces.max() >= len(vertices)):
        raise _refused(path, "triangles whose corners are in the file", "export it again; the file is damaged")
    return Mesh(vertices, faces)


def _read_3mf(path: Path) -> tuple[Mesh, str]:
    import lib3mf

    model = lib3mf.get_wrapper().CreateModel()
    try:
        model.QueryReader("3mf").ReadFromFile(str(path))
    except lib3mf.ELib3MFException as error:
        raise _refused(path, f"a 3MF file that can be read ({error})", "export it again") from error
    meshes = []
    items = model.GetBuildItems()
    while items.MoveNext():
        item = items.GetCurrent()
        resource = item.GetObjectResource()
        if not resource.IsMeshObject():
            raise _refused(path, "plain meshes; the file places components inside components", "export one mesh")
        found = model.GetMeshObjectByID(resource.GetResourceID())
        vertices = np.array([list(v.Coordinates) for v in found.GetVertices()], float).reshape(-1, 3)
        faces = np.array([list(t.Indices) for t in found.GetTriangleIndices()], np.int64).reshape(-1, 3)
        move = np.array([list(row) for row in item.GetObjectTransform().Fields], float)
        meshes.append(Mesh(vertices @ move[:3] + move[3], faces))
    return join(meshes), _MM_UNITS.get(model.GetUnit().name, "?")


def _refused(path: Path, limit: str, remedy: str) -> BadInput:
    return BadInput([Problem(str(path), "body.file", "", limit, remedy)])
