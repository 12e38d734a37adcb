"""Places given by where they are seen from a side, or by a distance along the skin, found on the body's skin."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from sections.body.along_skin import place_along
from sections.body.openings import opening_mesh
from sections.errors import PARAMETERS, BadInput, Problem
from sections.numbers.frame import Plane
from sections.numbers.mesh import Mesh
from sections.settings import Settings
from sections.settings.places import ACROSS, SeenPlace
from sections.settings.rules_seams import seam_plane
from sections.settings.shapes import Cylinder
from sections.solids.distance import MeshDistance

# Which way is looked from each side.
_LOOKING = {
    "right": (0, -1, 0), "left": (0, 1, 0), "top": (0, 0, -1),
    "bottom": (0, 0, 1), "front": (1, 0, 0), "rear": (-1, 0, 0),
}  # fmt: skip
# mm; from where the body is looked at.
_FROM = 10.0


@dataclass(frozen=True)
class SkinPlaces:
    """Finds places on a body's skin. skin : distance to it. settings, folder : of the parameter file, whose seams and
    openings places may be measured from."""

    settings: Settings
    folder: Path
    skin: MeshDistance

    def find(self, seen: SeenPlace, key: str, name: str) -> tuple[np.ndarray, np.ndarray]:
        """Return (the place on the skin that is meant, (3,) mm; the way straight into the body there, (3,) unit).

        key, name : of what is to stand there, in the parameter file. Raises BadInput where there is no such place.
        """
        looking = np.array(_LOOKING[seen.side], float)
        if seen.at is None:
            place = place_along(seen, looking, self.skin.mesh, self._edge(seen.beside), key, name)
        else:
            place = self._looked_at(seen, looking, key, name)
        inward = -self.skin.nearest_and_depth(place[None])[2][0]
        return place, inward / np.linalg.norm(inward)

    def placed(self, row: Any, middle: str, key: str) -> Any:
        """Return an opening, a keep-out or a clear place with its middle, and of a cylinder its axis; `key` : of the
        row, `middle` : of its middle. Raises BadInput."""
        seen: SeenPlace | None = getattr(row, "seen", None)
        if seen is None:
            return row
        place, inward = self.find(seen, f"{key}.seen", getattr(row, "id", f"{seen.side} {seen.at or seen.beside}"))
        axis = {}
        if isinstance(row, Cylinder):
            way = inward if row.axis is None else np.array(row.axis) / np.linalg.norm(row.axis)
            axis = {"axis": way.tolist()}
        at = (place + (seen.below or 0.0) * inward).tolist()
        return row.model_copy(update={middle: at, "seen": None, **axis})

    def _looked_at(self, seen: SeenPlace, looking: np.ndarray, key: str, name: str) -> np.ndarray:
        """Return the first place that is met from a side. Raises BadInput."""
        start, along = np.zeros(3), int(np.abs(looking).argmax())
        start[["xyz".index(axis) for axis in ACROSS[seen.side]]] = seen.at
        bounds = self.skin.mesh.bounds
        start[along] = (bounds[0] - _FROM if looking[along] > 0 else bounds[1] + _FROM)[along]
        far = self.skin.first_hit(start[None], looking[None])[1][0]
        if not np.isfinite(far):
            limit = f"a place where the body is seen from the {seen.side}"
            raise BadInput([Problem(PARAMETERS, key, name, limit, "move it onto the body")])
        return start + far * looking

    def _edge(self, name: str) -> Plane | Mesh:
        """Return the seam's plane, or the opening, that has a name. Raises BadInput."""
        for seam in self.settings.seams.planes:
            if seam.id == name:
                return seam_plane(seam)
        number = [one.id for one in self.settings.openings].index(name)
        key = f"openings[{number + 1}]"
        return opening_mesh(self.placed(self.settings.openings[number], "centre", key), self.settings, self.folder, key)


def with_seen_shapes(settings: Settings, folder: Path, skin: MeshDistance) -> Settings:
    """Return settings whose openings, keep-outs and clear places all have coordinates: those given by where they are
    seen are found. folder : of the parameter file. skin : distance to the body's. Raises BadInput for all of them that
    have no place there."""
    places, problems = SkinPlaces(settings, folder, skin), []

    def found(rows: Sequence[Any], table: str, middle: str) -> list[Any]:
        return list(_found(places, rows, table, middle, problems))

    clear = found(settings.seams.clear, "seams.clear", "at")
    given = {table: found(getattr(settings, table), table, "centre") for table in ("openings", "keepouts")}
    if problems:
        raise BadInput(problems)
    seams = settings.seams.model_copy(update={"clear": clear})
    return settings.model_copy(update={**given, "seams": seams})


def _found(places: SkinPlaces, rows: Sequence[Any], table: str, middle: str, problems: list[Problem]) -> Iterator[Any]:
    """Yield rows of a table with their middles and, of cylinders, their axes; add what is wrong to the problems."""
    for number, row in enumerate(rows, 1):
        try:
            yield places.placed(row, middle, f"{table}[{number}]")
        except BadInput as error:
            problems += error.problems
