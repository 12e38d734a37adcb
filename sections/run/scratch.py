"""The run's own scratch folder: meshes handed between processes, so that only those in hand are in memory."""

from __future__ import annotations

import hashlib
import pickle
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from sections.errors import OutputRefused
from sections.export.stage import scratch_folder
from sections.numbers.mesh import Mesh
from sections.plan.hands import in_the_way
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid
from sections.wall.edging import Collar, Cutter

if TYPE_CHECKING:
    from sections.body import Body
    from sections.body.body import OpeningSolid


# Under this name the skin that openings leave is kept.
SHOWN = "shown"


@dataclass(frozen=True)
class Shown:
    """The skin that openings leave. nodes : in the way of hands, (n, 3). digest : of the skin."""

    skin: Mesh
    nodes: np.ndarray
    digest: str


@dataclass(frozen=True)
class Scratch:
    """A folder of named meshes and plain objects."""

    folder: Path

    def put_mesh(self, name: str, mesh: Mesh) -> None:
        """Keep a mesh under a name."""
        np.savez(self.folder / f"{name}.npz", vertices=mesh.vertices, faces=mesh.faces)

    def mesh(self, name: str) -> Mesh:
        """Return the mesh of that name. Raises FileNotFoundError."""
        with np.load(self.folder / f"{name}.npz") as held:
            return Mesh(held["vertices"], held["faces"])

    def meshes(self, prefix: str) -> list[str]:
        """Return the names of all meshes that begin with `prefix`, in order."""
        return sorted(path.stem for path in self.folder.glob(f"{prefix}*.npz"))

    def put(self, name: str, thing: Any) -> None:
        """Keep a plain object (dataclasses, arrays) under a name."""
        beside = self.folder / f".{name}.partial"
        beside.write_bytes(pickle.dumps(thing))
        beside.replace(self.folder / f"{name}.pickle")

    def has(self, name: str) -> bool:
        """Return whether a plain object is kept under a name."""
        return (self.folder / f"{name}.pickle").exists()

    def get(self, name: str) -> Any:
        """Return the object of that name. Raises FileNotFoundError."""
        return pickle.loads((self.folder / f"{name}.pickle").read_bytes())

    def once(self, what: str, given: Any, make: Callable[[], Any]) -> Any:
        """Return what `make` makes of plain objects `given`: kept under `what` and their bytes, made only once."""
        name = f"{what}-{hashlib.sha256(pickle.dumps(given)).hexdigest()[:24]}"
        if not self.has(name):
            self.put(name, make())
        return self.get(name)

    def new_folder(self, name: str) -> Scratch:
        """Return a folder in it that was not there before, for a step done more than once."""
        number = len(list(self.folder.glob(f"{name}-*")))
        fresh = Scratch(self.folder / f"{name}-{number}")
        fresh.folder.mkdir()
        return fresh

    def drop(self, prefix: str) -> None:
        """Remove all meshes whose names begin with `prefix`."""
        for name in self.meshes(prefix):
            (self.folder / f"{name}.npz").unlink()

    def clear(self) -> None:
        """Remove the folder and all in it."""
        shutil.rmtree(self.folder)


@contextmanager
def scratch_beside(target: Path) -> Iterator[Scratch]:
    """Give a run's scratch folder, beside the output it makes; it is removed when the block ends."""
    scratch = Scratch(scratch_folder(target))
    try:
        scratch.folder.mkdir(parents=True)
    except OSError as error:
        raise OutputRefused(f"{target}: cannot write there: {error.strerror}") from None
    try:
        yield scratch
    finally:
        scratch.clear()


@lru_cache(maxsize=8)
def held(folder: Path, name: str) -> Any:
    """Return the object kept under a name in a scratch folder, read once a process. It must not be changed."""
    return Scratch(folder).get(name)


def put_skin(scratch: Scratch, body: Body) -> None:
    """Keep a body's skin, and what tells its sides, in a scratch folder."""
    scratch.put_mesh("skin", body.skin)
    scratch.put("doubt", body.doubt)


@lru_cache(maxsize=2)
def skin_distance(folder: Path) -> MeshDistance:
    """Return the distance to the body's skin kept in a scratch folder; the tree is built once a process."""
    scratch = Scratch(folder)
    return MeshDistance(scratch.mesh("skin"), scratch.get("doubt"))


def put_shown(scratch: Scratch, skin: Mesh) -> None:
    """Keep the skin that openings leave in a scratch folder."""
    digest = hashlib.sha256(skin.vertices.tobytes() + skin.faces.tobytes()).hexdigest()
    scratch.put(SHOWN, Shown(skin, in_the_way(skin), digest))


def put_cutters(scratch: Scratch, body: Body) -> None:
    """Keep a body's openings, and what is made along their edges, in a scratch folder, as triangles."""
    scratch.put("cutters", [_meshes_only(opening) for opening in body.openings])


def _meshes_only(opening: OpeningSolid) -> Cutter:
    edge = opening.edge
    collar = edge and Collar(edge.depth, edge.around.mesh, edge.floor, edge.hole and edge.hole.mesh)
    return Cutter(opening.given, opening.mesh, collar)


@lru_cache(maxsize=2)
def cutters_of(folder: Path) -> tuple[Cutter[PrintSolid], ...]:
    """Return the openings kept in a scratch folder, read once a process."""

    def solid(mesh: Mesh | None) -> PrintSolid | None:
        return None if mesh is None else PrintSolid.of(mesh, "opening")

    made = []
    for one in Scratch(folder).get("cutters"):
        collar = one.collar
        collar = collar and Collar(collar.depth, solid(collar.around), collar.floor, solid(collar.hole))
        made.append(Cutter(one.id, solid(one.solid), collar))
    return tuple(made)
