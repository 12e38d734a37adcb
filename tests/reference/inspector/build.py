"""A finished build as a stranger reads it: its print files put back in place, and what plan.json says is where."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import manifold3d as m3
import numpy as np
import trimesh


@dataclass(frozen=True)
class Frame:
    """An origin and three axes."""

    origin: np.ndarray
    axes: np.ndarray

    @staticmethod
    def of(row: dict) -> Frame:
        return Frame(np.array(row["origin"], float), np.array([row[name] for name in "xyz"], float))

    def out(self, points) -> np.ndarray:
        """Return (n, 3) points given in the frame, in the vehicle's."""
        return np.asarray(points, float) @ self.axes + self.origin

    def place(self, solid: m3.Manifold) -> m3.Manifold:
        """Return a solid given in the frame, in the vehicle's."""
        return solid.transform(np.column_stack([self.axes.T, self.origin]))


@dataclass(frozen=True)
class Section:
    """One printed section. printed : its largest shell as it lies on the bed; feet : what else is in its file. solid :
    the section in the vehicle's frame."""

    id: str
    printed: trimesh.Trimesh
    feet: tuple[trimesh.Trimesh, ...]
    frame: Frame
    seams: tuple[str, ...]

    @cached_property
    def solid(self) -> m3.Manifold:
        return self.frame.place(manifold(self.printed))

    @cached_property
    def box(self) -> np.ndarray:
        return np.array(self.solid.bounding_box()).reshape(2, 3)


class Build:
    """A folder of results."""

    def __init__(self, out: Path):
        self.out = out
        self.plan = json.loads((out / "plan.json").read_text())
        self.manifest = json.loads((out / "manifest.json").read_text())
        self.findings = json.loads((out / "findings.json").read_text())["findings"]
        self.sections = {row["id"]: self._section(row) for row in self.plan["sections"]}

    def _record(self, part_id: str) -> dict:
        return next(part for part in self.manifest["parts"] if part["id"] == part_id)

    def read(self, part_id: str) -> list[trimesh.Trimesh]:
        """Return the shells of a part's STL file, the largest first, as they are once they have shrunk."""
        record = self._record(part_id)
        path = next(file["path"] for file in record["files"] if file["format"] == "stl")
        mesh = trimesh.load_mesh(self.out / path)
        mesh.vertices = mesh.vertices / record.get("growth", (1, 1, 1))
        label = trimesh.graph.connected_component_labels(mesh.face_adjacency, node_count=len(mesh.faces))
        shells = [mesh.submesh([np.flatnonzero(label == n)], append=True) for n in range(label.max() + 1)]
        return sorted(shells, key=lambda shell: -abs(shell.volume))

    def _section(self, row: dict) -> Section:
        main, *rest = self.read(row["id"])
        # A hollow is a shell turned inside out; a foot is one the right way.
        feet = tuple(shell for shell in rest if shell.volume > 0)
        hollows = [shell for shell in rest if shell.volume <= 0]
        printed = trimesh.util.concatenate([main, *hollows]) if hollows else main
        return Section(row["id"], printed, feet, Frame.of(row["pose"]), tuple(name for name, _ in row["seams"]))

    @cached_property
    def planes(self) -> dict[str, np.ndarray]:
        """Each seam's normal, (3,)."""
        return {row["id"]: np.array(row["plane"]["normal"], float) for row in self.plan["seams"]}

    @cached_property
    def loose(self) -> dict[str, m3.Manifold]:
        """Pins and keys, about the middle of their own box, by kind."""
        found = {}
        for record in self.manifest["parts"]:
            if record["kind"] in ("dowel", "key"):
                mesh = self.read(record["id"])[0]
                mesh.apply_translation(-mesh.bounds.mean(0))
                found[record["kind"]] = manifold(mesh)
        return found

    def together(self, pair: dict) -> set[str]:
        """Return the sections that are there when a pair is bolted: those the first step brings together that holds
        both."""
        for step in self.plan["assembly"]:
            there = {*step["moved"], *step["onto"]}
            if step["seam"] == pair["seam"] and {pair["minus"], pair["plus"]} <= there:
                return there
        return {pair["minus"], pair["plus"]}

    def near(self, low: np.ndarray, high: np.ndarray, of=None) -> list[Section]:
        """Return the sections whose boxes meet a box, of those named."""
        return [
            section for name, section in self.sections.items()
            if (of is None or name in of) and (section.box[0] < high).all() and (section.box[1] > low).all()
        ]  # fmt: skip


def manifold(mesh: trimesh.Trimesh) -> m3.Manifold:
    """Return a closed mesh as a solid. Raises ValueError where it is none."""
    made = m3.Manifold(m3.Mesh64(np.array(mesh.vertices, np.float64), np.array(mesh.faces, np.uint64)))
    if made.status() != m3.Error.NoError:
        raise ValueError(f"not a solid: {made.status().name}")
    return made


def bar(radius: float, low: float, high: float, corners: int = 32) -> m3.Manifold:
    """Return a bar about z, its faces on the radius: the round one lies inside it."""
    wide = radius / np.cos(np.pi / corners)
    return m3.Manifold.cylinder(high - low, wide, wide, corners).translate((0, 0, low))


def hexagon(flats: float, low: float, high: float) -> m3.Manifold:
    """Return a hexagon about z, mm across flats."""
    return m3.Manifold.cylinder(high - low, flats / np.sqrt(3), flats / np.sqrt(3), 6).translate((0, 0, low))


def box_of(solid: m3.Manifold) -> np.ndarray:
    return np.array(solid.bounding_box()).reshape(2, 3)


def in_the_way(solid: m3.Manifold, sections: list[Section]) -> tuple[float, str]:
    """Return (the most of one section that a solid passes through, mm3; which)."""
    worst = (0.0, "")
    low, high = box_of(solid)
    for section in sections:
        start, stop = box_of(section.solid)
        if (start > high).any() or (stop < low).any():
            continue
        worst = max(worst, ((solid ^ section.solid).volume(), section.id))
    return worst
