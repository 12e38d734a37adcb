"""The body and its openings, read from where the parameter file says, by OCP, trimesh and manifold3d alone."""

from __future__ import annotations

import importlib.util
import tomllib
from dataclasses import dataclass
from pathlib import Path

import manifold3d as m3
import numpy as np
import trimesh

from .build import manifold

_UNITS = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}
# mm and radians, of the triangles a shape is looked at by.
_OFF, _TURN = 0.05, 0.2


@dataclass(frozen=True)
class Body:
    """The given body. places, outward : (n, 3), evenly spread over its own faces. openings : solids, each with how far
    beyond it skin may be missing, mm. wall : mm. printer : mm, of its room; None where there are several. rough :
    triangles, (m, 3, 3), of the body, a millimetre off here and there."""

    places: np.ndarray
    outward: np.ndarray
    rough: np.ndarray
    openings: tuple[tuple[m3.Manifold, float], ...]
    wall: float
    printer: tuple[float, float, float] | None

    @staticmethod
    def of(parameters: Path, count: int = 6000) -> Body:
        """Return what a parameter file asks for, looked at in so many places."""
        table = _loaded(parameters)
        row, here = table["body"], parameters.parent
        if "axes" in row:
            raise ValueError("a body on other axes is not looked at")
        source = _called(here, row["script"]) if "script" in row else here / row["file"]
        places, outward, rough = _spread(source, row, count)
        scale, shift = row.get("scale", 1.0), np.array(row.get("shift", (0, 0, 0)))
        places, rough = places * scale + shift, rough * scale + shift
        openings = []
        for one in table.get("openings", []):
            solid = _opening(one, here)
            past = 1.0 + one.get("panel", {}).get("gap", 4.0 if "panel" in one else 0.0)
            openings.append((solid, past))
            if one.get("mirror"):
                openings.append((solid.mirror((0, 1, 0)), past))
        printer = table.get("printer", {})
        bed = None if table.get("printers") else printer.get("bed", (300, 300, 300))
        size = None if bed is None else tuple(np.array(bed) - np.array([2, 2, 1]) * printer.get("margin", 5.0))
        return Body(places, outward, rough, tuple(openings), table.get("wall", {}).get("thickness", 4.0), size)

    def holds(self, place: np.ndarray) -> bool:
        """Return whether a place is inside the body, by how many of its triangles a ray upward meets."""
        corners = self.rough - place
        edges = np.roll(corners, -1, axis=1)
        turn = corners[:, :, 0] * edges[:, :, 1] - corners[:, :, 1] * edges[:, :, 0]
        around = (turn > 0).all(1) | (turn < 0).all(1)
        met = corners[around]
        normal = np.cross(met[:, 1] - met[:, 0], met[:, 2] - met[:, 0])
        height = np.einsum("ij,ij->i", normal, met[:, 0]) / normal[:, 2]
        return int((height > 0).sum()) % 2 == 1

    def in_opening(self, place: np.ndarray) -> float:
        """Return how far a place is outside every opening less what may be missing there, mm; 0 inside one."""
        least = np.inf
        for solid, past in self.openings:
            box = np.array(solid.bounding_box()).reshape(2, 3)
            if (place < box[0] - past - 5).any() or (place > box[1] + past + 5).any():
                continue
            if len(solid.ray_cast(tuple(place), tuple(place + [0.0, 1.0, 3e4]))) % 2:
                return 0.0
            speck = m3.Manifold.cube((0.01, 0.01, 0.01), True).translate(tuple(place))
            least = min(least, max(solid.min_gap(speck, past + 5) - past, 0.0))
        return least


def _loaded(parameters: Path) -> dict:
    """Return a parameter file's tables, those it extends below its own."""
    table = tomllib.loads(parameters.read_text())
    base: dict = {}
    extends = table.pop("extends", [])
    for name in [extends] if isinstance(extends, str) else extends:
        base = _merged(base, _loaded(parameters.parent / name))
    return _merged(base, table)


def _merged(low: dict, high: dict) -> dict:
    both = dict(low)
    for key, value in high.items():
        both[key] = _merged(both[key], value) if isinstance(value, dict) and isinstance(both.get(key), dict) else value
    return both


def _called(place: Path, script: str):
    """Return what a function of a script makes."""
    path, name = script.split(":")
    spec = importlib.util.spec_from_file_location(f"looked_at_{Path(path).stem}", place / path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return getattr(module, name)()


def _spread(source, row: dict, count: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return (places, outward, triangles) on a mesh file, or exactly on the faces of a CAD shape."""
    if isinstance(source, Path) and source.suffix.lower() not in (".step", ".stp"):
        mesh = trimesh.load_mesh(source)
        mesh.apply_scale(_UNITS[row["units"]])
        points, faces = trimesh.sample.sample_surface(mesh, count, seed=11)
        return points, mesh.face_normals[faces], np.array(mesh.triangles)
    made, off = _step(source) if isinstance(source, Path) else source, _OFF / row.get("scale", 1.0)
    return *_on_faces(made, count, off), np.array(_meshed(made, off).triangles)


def _on_faces(made, count: int, off: float) -> tuple[np.ndarray, np.ndarray]:
    """Return (places, outward) on a shape's own surfaces: triangles only say where, the surface itself is asked."""
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.gp import gp_Pnt, gp_Vec

    random = np.random.default_rng(11)
    faces = [(face, *_triangles(face, off)) for face in (made.val() if hasattr(made, "val") else made).Faces()]
    total = sum(areas.sum() for _, _, areas in faces)
    places, outward = [], []
    for face, parameters, areas in faces:
        surface, sign = BRepAdaptor_Surface(face.wrapped), -1.0 if _is_turned(face) else 1.0
        chosen = random.choice(len(areas), max(round(count * areas.sum() / total), 1), p=areas / areas.sum())
        weights = random.dirichlet([1.0, 1.0, 1.0], len(chosen))
        for u, v in np.einsum("nk,nkj->nj", weights, parameters[chosen]).tolist():
            point, along, across = gp_Pnt(), gp_Vec(), gp_Vec()
            surface.D1(u, v, point, along, across)
            normal = sign * np.cross(along.Coord(), across.Coord())
            if (length := np.linalg.norm(normal)) > 1e-9:
                places.append(point.Coord())
                outward.append(normal / length)
    return np.array(places), np.array(outward)


def _is_turned(face) -> bool:
    from OCP.TopAbs import TopAbs_REVERSED

    return face.wrapped.Orientation() == TopAbs_REVERSED


def _triangles(face, off: float) -> tuple[np.ndarray, np.ndarray]:
    """Return (corners of a face's triangles in its parameters, (m, 3, 2); areas, (m,) mm2)."""
    from OCP.BRep import BRep_Tool
    from OCP.BRepMesh import BRepMesh_IncrementalMesh
    from OCP.TopLoc import TopLoc_Location

    BRepMesh_IncrementalMesh(face.wrapped, off, False, _TURN, False)
    made = BRep_Tool.Triangulation_s(face.wrapped, TopLoc_Location())
    uv = np.array([made.UVNode(n + 1).Coord() for n in range(made.NbNodes())])
    at = np.array([made.Node(n + 1).Coord() for n in range(made.NbNodes())])
    corners = np.array([made.Triangle(n + 1).Get() for n in range(made.NbTriangles())]) - 1
    sides = at[corners[:, 1:]] - at[corners[:, :1]]
    return uv[corners], np.linalg.norm(np.cross(sides[:, 0], sides[:, 1]), axis=1) / 2


def _meshed(made, off: float = _OFF) -> trimesh.Trimesh:
    """Return a CAD shape as triangles: near enough for an opening."""
    from OCP.BRepMesh import BRepMesh_IncrementalMesh

    shape = made.val() if hasattr(made, "val") else made
    BRepMesh_IncrementalMesh(shape.wrapped, off, False, _TURN, False)
    vertices, faces = shape.tessellate(off, _TURN)
    mesh = trimesh.Trimesh([v.toTuple() for v in vertices], faces)
    mesh.merge_vertices()
    return mesh


def _read(path: Path) -> trimesh.Trimesh:
    return _meshed(_step(path)) if path.suffix.lower() in (".step", ".stp") else trimesh.load_mesh(path)


def _step(path: Path):
    from cadquery import Shape
    from OCP.STEPControl import STEPControl_Reader

    reader = STEPControl_Reader()
    reader.ReadFile(str(path))
    reader.TransferRoots()
    return Shape.cast(reader.OneShape())


def _opening(row: dict, place: Path) -> m3.Manifold:
    kind = row["kind"]
    if kind == "box":
        low, high = np.array(row["low"]), np.array(row["high"])
        return m3.Manifold.cube(tuple(high - low)).translate(tuple(low))
    if kind == "cylinder":
        made = m3.Manifold.cylinder(row["length"], row["radius"], row["radius"], 256, True)
        return made.transform(np.column_stack([_upright(row["axis"]), row["centre"]]))
    if kind == "profile":
        outline = m3.CrossSection([np.array(row["points"], float)], m3.FillRule.NonZero)
        if radius := row.get("corner", 0.0):
            outline = outline.offset(-radius, m3.JoinType.Miter, 10.0).offset(radius, m3.JoinType.Round, 2.0, 128)
        made = m3.Manifold.extrude(outline, row["stop"] - row["start"]).translate((0, 0, row["start"]))
        axes = {"x": [[0, 0, 1], [1, 0, 0], [0, 1, 0]], "y": [[1, 0, 0], [0, 0, 1], [0, 1, 0]], "z": np.eye(3)}
        turned = np.column_stack([np.array(axes[row["along"]], float), np.zeros(3)])
        return made.transform(turned)
    made = _called(place, row["script"]) if "script" in row else None
    return manifold(_meshed(made) if made is not None else _read(place / row["file"]))


def _upright(axis) -> np.ndarray:
    """Return a rotation, (3, 3), that brings z to an axis."""
    z = np.array(axis, float) / np.linalg.norm(axis)
    x = np.cross([0.0, 1.0, 0.0] if abs(z[1]) < 0.9 else [1.0, 0.0, 0.0], z)
    x /= np.linalg.norm(x)
    return np.column_stack([x, np.cross(z, x), z])
