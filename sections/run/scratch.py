"""The run's own scratch folder: meshes handed between processes, so that only those in hand are in memory; and the
results that outlive the run, asked for by the contents of what is in the folder, never by its names."""

from __future__ import annotations

import pickle
import secrets
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from sections.errors import OutputRefused
from sections.export.folder_lock import scratch_folder
from sections.numbers.mesh import Mesh
from sections.plan.hands import in_the_way
from sections.processes.stopping import unfinished
from sections.results import Store, digest_of
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid
from sections.wall.opening_edges import Collar, Cutter

if TYPE_CHECKING:
    from sections.body import Body
    from sections.body.body import OpeningSolid


# Under this name the skin that openings leave is kept.
SHOWN = "shown"
_RESULTS = "results"


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
        """Keep a mesh under a name, and its digest."""
        np.savez(self.folder / f"{name}.npz", vertices=mesh.vertices, faces=mesh.faces)
        (self.folder / f"{name}.digest").write_text(digest_of(mesh))

    def content(self, name: str) -> str:
        """Return the digest of the mesh of that name. Raises FileNotFoundError."""
        return (self.folder / f"{name}.digest").read_text()

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

    def once(self, step: str, given: Any, make: Callable[[], Any]) -> Any:
        """Return what `make` makes of plain things given to a step; made before, in this run or another, the same.

        given : all that the result depends on, by its contents: names in this folder say nothing in another run.
        """
        return results_of(self.folder).once(step, given, make)

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


@contextmanager
def scratch_beside(target: Path, store: Store | None) -> Iterator[Scratch]:
    """Give a run's scratch folder, beside the output it makes; it is removed when the block ends. store : of results
    that outlive the run; None where none are to."""
    # A name of its own: what a process keeps of one run's folder is not taken for another's.
    scratch = Scratch(scratch_folder(target) / secrets.token_hex(8))
    try:
        scratch.folder.mkdir(parents=True)
    except OSError as error:
        raise OutputRefused(f"{target}: cannot write there: {error.strerror}") from None
    try:
        with unfinished(scratch.folder.parent):
            keep_results(scratch, store)
            yield scratch
    finally:
        shutil.rmtree(scratch.folder.parent)


def keep_results(scratch: Scratch, store: Store | None) -> None:
    """Have a run's steps ask a store for results, and keep theirs there; without one, in the scratch folder."""
    scratch.put(_RESULTS, Store(scratch.folder / _RESULTS, "") if store is None else store)


@lru_cache(maxsize=8)
def results_of(folder: Path) -> Store:
    """Return where the steps of a run keep their results."""
    scratch = Scratch(folder)
    return scratch.get(_RESULTS) if scratch.has(_RESULTS) else Store(folder / _RESULTS, "")


@lru_cache(maxsize=8)
def held(folder: Path, name: str) -> Any:
    """Return the object kept under a name in a scratch folder, read once a process. It must not be changed."""
    return Scratch(folder).get(name)


def put_skin(scratch: Scratch, body: Body) -> None:
    """Keep a body's skin, and what tells its sides, in a scratch folder."""
    scratch.put_mesh("skin", body.skin)
    scratch.put("doubt", body.doubt)
    scratch.put("skin-content", digest_of(body.skin, body.doubt))


@lru_cache(maxsize=2)
def skin_distance(folder: Path) -> MeshDistance:
    """Return the distance to the body's skin kept in a scratch folder; the tree is built once a process."""
    scratch = Scratch(folder)
    return MeshDistance(scratch.mesh("skin"), scratch.get("doubt"))


def skin_content(folder: Path) -> str:
    """Return the digest of the skin kept in a scratch folder, and of what tells its sides."""
    return Scratch(folder).get("skin-content")


def put_shown(scratch: Scratch, skin: Mesh) -> None:
    """Keep the skin that openings leave in a scratch folder."""
    scratch.put(SHOWN, Shown(skin, in_the_way(skin), digest_of(skin)))


def put_cutters(scratch: Scratch, body: Body) -> None:
    """Keep a body's openings, and what is made along their edges, in a scratch folder, as triangles."""
    cutters = [_meshes_only(opening) for opening in body.openings]
    scratch.put("cutters", cutters)
    scratch.put("cutter-contents", [digest_of(one) for one in cutters])


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
