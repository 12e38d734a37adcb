"""3MF, by lib3mf, the reference implementation of its consortium.

Writing through the library's own array setters takes ten times as long as through its C call.
"""

from __future__ import annotations

import ctypes
import hashlib
import tempfile
import uuid
from functools import cache
from pathlib import Path

import lib3mf
import numpy as np

from sections.numbers.mesh import Mesh


def threemf_bytes(mesh: Mesh, name: str, facts: dict[str, str]) -> bytes:
    """Return the mesh as a 3MF package in millimetres with one named, placed object.

    facts : metadata, standard names of the 3MF core specification such as Title, Designer, Application.
    """
    wrapper = _library()
    model = wrapper.CreateModel()
    model.SetUnit(lib3mf.ModelUnit.MilliMeter)
    for key, value in facts.items():
        model.GetMetaDataGroup().AddMetaData("", key, value, "xs:string", True)
    made = model.AddMeshObject()
    made.SetName(name)
    _set_geometry(wrapper, made, mesh)
    item = model.AddBuildItem(made, wrapper.GetIdentityTransform())
    # The library draws these at random; drawn from the content, equal meshes give equal bytes.
    content = hashlib.sha256(mesh.vertices.tobytes() + mesh.faces.tobytes() + name.encode()).hexdigest()
    for place, set_uuid in enumerate((model.SetBuildUUID, item.SetUUID, made.SetUUID)):
        set_uuid(str(uuid.uuid5(uuid.NAMESPACE_OID, f"{content}/{place}")))
    with tempfile.TemporaryDirectory() as folder:
        # The library's own call into memory writes twice and hands over a list of numbers; a file is quicker.
        path = Path(folder) / "part.3mf"
        model.QueryWriter("3mf").WriteToFile(str(path))
        return path.read_bytes()


@cache
def _library():
    return lib3mf.get_wrapper()


def _set_geometry(wrapper, made, mesh: Mesh) -> None:
    """Hand over vertices and triangles whole; the wrapper's own SetGeometry copies them one by one in Python."""
    vertices, faces = _positions(mesh.vertices), _triangles(mesh.faces)
    call = wrapper.lib.lib3mf_meshobject_setgeometry
    counts = ctypes.c_uint64(len(vertices)), ctypes.c_uint64(len(faces))
    wrapper.checkError(made, call(made._handle, counts[0], vertices, counts[1], faces))


def _positions(vertices: np.ndarray):
    """Return the vertices as the library's own array, filled in one copy."""
    flat = np.ascontiguousarray(vertices, np.float32)
    array = (lib3mf.Position * len(flat))()
    ctypes.memmove(array, flat.ctypes.data, flat.nbytes)
    return array


def _triangles(faces: np.ndarray):
    flat = np.ascontiguousarray(faces, np.uint32)
    array = (lib3mf.Triangle * len(flat))()
    ctypes.memmove(array, flat.ctypes.data, flat.nbytes)
    return array
