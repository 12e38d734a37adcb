"""The run's own scratch folder: meshes handed between processes, so that only those in hand are in memory; and the
results that outlive the run, asked for by the contents of what is in the folder, never by its names."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np

from sections.numbers.mesh import Mesh
from sections.results.digest import digest_of
from sections.results.store import Store

_RESULTS = "results"


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
