"""Reading closed meshes: STL, OBJ, PLY by trimesh, 3MF by lib3mf."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path

import numpy as np

from sections.errors import BadInput, Problem
from sections.numbers.mesh import Mesh, join
from sections.settings.plain_text import is_plain_file

# A file of more triangles or bytes, packed or unpacked, is refused: at the limit some 6 GB of memory are in use.
MOST_TRIANGLES, MOST_BYTES = 12_000_000, 2_000_000_000
# Things a 3MF file places on its bed.
_MOST_ITEMS = 2000
# Coordinates beyond this are damage, whatever the unit.
FARTHEST = 1e9
# Bytes of a facet of binary STL.
_STL_FACET = 50
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

    Nothing is welded or repaired. Raises BadInput for a file that cannot be read, holds no triangles, or would fill the
    memory.
    """
    _look_before(path)
    mesh, unit = _read_3mf(path) if path.suffix.lower() == ".3mf" else (_read_plain(path), "?")
    if not len(mesh):
        raise _refused(path, "a mesh with triangles in it", "export the body again")
    if not np.isfinite(mesh.vertices).all():
        bad = int((~np.isfinite(mesh.vertices).all(1)).sum())
        raise _refused(path, f"finite coordinates; {bad} corners are not numbers", "export the body again")
    far = float(np.abs(mesh.vertices).max())
    if far > FARTHEST:
        limit = f"coordinates of at most {FARTHEST:g}; one is {far:.3g}"
        raise _refused(path, limit, "export it again; the file may be damaged")
    if len(mesh) > MOST_TRIANGLES:
        raise _too_many(path, len(mesh))
    if not mesh.areas_mm2.any():
        raise _refused(path, "triangles with an area; all of them are points or lines", "export the body again")
    return mesh, unit


def _look_before(path: Path) -> None:
    """Refuse what would fill the memory or reach outside the file, before any of it is read."""
    if not is_plain_file(path):
        raise _refused(path, "a plain file that exists", "correct the name, or write it again")
    try:
        size = path.stat().st_size
        with path.open("rb") as file:
            text = file.read(5).lower() == b"solid"
    except OSError as error:
        raise _refused(path, f"a file you may read ({error.strerror})", "change the file's permissions") from None
    if path.suffix.lower() == ".stl" and not text and size > 84 + _STL_FACET * MOST_TRIANGLES:
        raise _too_many(path, (size - 84) // _STL_FACET)
    if size > MOST_BYTES:
        raise _refused(path, f"a file of at most {MOST_BYTES / 1e9:g} GB; it has {size / 1e9:.1f}", "simplify the mesh")
    if path.suffix.lower() == ".3mf":
        _look_into_package(path)


def _look_into_package(path: Path) -> None:
    try:
        with zipfile.ZipFile(path) as package:
            entries = package.infolist()
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError) as error:
        raise _refused(path, f"a 3MF package that can be opened ({error})", "export it again") from error
    unpacked = sum(entry.file_size for entry in entries)
    if unpacked > MOST_BYTES:
        limit = f"a package of at most {MOST_BYTES / 1e9:g} GB unpacked; it says {unpacked / 1e9:.1f}"
        raise _refused(path, limit, "do not open it if you did not make it; else simplify the mesh")
    outside = [entry.filename for entry in entries if _leads_out(entry.filename)]
    if outside:
        limit = f"names within the package; {outside[0]!r} points outside it"
        raise _refused(path, limit, "do not open it if you did not make it; else export it again")


def _leads_out(name: str) -> bool:
    return name.startswith(("/", "\\")) or ".." in re.split(r"[/\\]", name)


def _too_many(path: Path, count: int) -> BadInput:
    limit = f"at most {MOST_TRIANGLES / 1e6:g} million triangles; it has {count / 1e6:.1f} million"
    return _refused(path, limit, "simplify it where you made it; a body needs some hundred thousand")


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
    meshes: list[Mesh] = []
    known: dict[int, Mesh] = {}
    for item in _items(model, path):
        resource = item.GetObjectResource()
        if not resource.IsMeshObject():
            raise _refused(path, "plain meshes; the file places components inside components", "export one mesh")
        number = resource.GetResourceID()
        if number not in known:
            known[number] = _mesh_object(model.GetMeshObjectByID(number))
        move = np.array([list(row) for row in item.GetObjectTransform().Fields], float)
        meshes.append(Mesh(known[number].vertices @ move[:3] + move[3], known[number].faces))
        if sum(map(len, meshes)) > MOST_TRIANGLES:
            raise _too_many(path, sum(map(len, meshes)))
    return join(meshes), _MM_UNITS.get(model.GetUnit().name, "?")


def _items(model, path: Path) -> list:
    """Return what a 3MF model places on its bed. Raises BadInput for more than any body is."""
    items, found = model.GetBuildItems(), []
    while items.MoveNext():
        found.append(items.GetCurrent())
        if len(found) > _MOST_ITEMS:
            raise _refused(path, f"at most {_MOST_ITEMS} items on its bed", "export the body as one mesh")
    return found


def _mesh_object(found) -> Mesh:
    vertices = np.array([list(v.Coordinates) for v in found.GetVertices()], float).reshape(-1, 3)
    faces = np.array([list(t.Indices) for t in found.GetTriangleIndices()], np.int64).reshape(-1, 3)
    return Mesh(vertices, faces)


def _refused(path: Path, limit: str, remedy: str) -> BadInput:
    return BadInput([Problem(str(path), "body.file", "", limit, remedy)])
