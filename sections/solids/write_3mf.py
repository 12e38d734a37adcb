"""3MF, by lib3mf, the reference implementation of its consortium."""

from __future__ import annotations

import ctypes
import hashlib
import uuid

import lib3mf
import numpy as np

from sections.numbers.mesh import Mesh


def threemf_bytes(mesh: Mesh, name: str, facts: dict[str, str]) -> bytes:
    """Return the mesh as a 3MF package in millimetres with one named, placed object.

    facts : metadata, standard names of the 3MF core specification such as Title, Designer, Application.
    """
    wrapper = lib3mf.get_wrapper()
    model = wrapper.CreateModel()
    model.SetUnit(lib3mf.ModelUnit.MilliMeter)
    for key, value in facts.items():
        model.GetMetaDataGroup().AddMetaData("", key, value, "xs:string", True)
    made = model.AddMeshObject()
    made.SetName(name)
    made.SetGeometry(_positions(mesh.vertices), _triangles(mesh.faces))
    item = model.AddBuildItem(made, wrapper.GetIdentityTransform())
    # The library draws these at random; drawn from the content, equal meshes give equal bytes.
    content = hashlib.sha256(mesh.vertices.tobytes() + mesh.faces.tobytes() + name.encode()).hexdigest()
    for place, set_uuid in enumerate((model.SetBuildUUID, item.SetUUID, made.SetUUID)):
        set_uuid(str(uuid.uuid5(uuid.NAMESPACE_OID, f"{content}/{place}")))
    return bytes(model.QueryWriter("3mf").WriteToBuffer())


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
