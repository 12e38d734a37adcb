"""The two faces of a built pair, read once for all checks on it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import shapely
from shapely import MultiPolygon

from sections.checks.built_parts import BuiltPair
from sections.checks.seam_face import FaceHoles
from sections.numbers.frame import Frame
from sections.settings import Settings
from sections.settings.joint_line import shortest_run
from sections.solids.planar import as_multipolygon, longest_side


@dataclass(frozen=True)
class PairFaces:
    """Both faces on the seam and what they share, in the x, y of `frame`, mm."""

    frame: Frame
    minus: MultiPolygon
    plus: MultiPolygon
    shared: MultiPolygon

    @cached_property
    def holes(self) -> dict[str, FaceHoles]:
        """The holes of the "minus" and the "plus" face."""
        return {"minus": FaceHoles(self.minus), "plus": FaceHoles(self.plus)}

    def stands_alone(self, settings: Settings) -> bool:
        """Return whether the two share so much that they are joined for themselves, not by their neighbours."""
        return longest_side(self.shared) >= shortest_run(settings)


def read_faces(pair: BuiltPair) -> PairFaces:
    """Return the faces of both built sections on the pair's seam."""
    frame = pair.plane.frame()
    minus, plus = pair.minus.face(pair.plane, frame), pair.plus.face(pair.plane, frame)
    return PairFaces(frame, minus, plus, as_multipolygon(shapely.intersection(minus, plus)))
