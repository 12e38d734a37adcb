"""Binary STL, by trimesh."""

from __future__ import annotations

from sections.numbers.mesh import Mesh


def stl_bytes(mesh: Mesh) -> bytes:
    """Return the mesh as binary STL: 84 + 50 n bytes, coordinates as 32-bit floats."""
    import trimesh

    return trimesh.exchange.stl.export_stl(trimesh.Trimesh(mesh.vertices, mesh.faces, process=False))
