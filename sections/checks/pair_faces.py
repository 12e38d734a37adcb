"""The two faces of a built pair, read once for all checks on it."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely import MultiPolygon

from sections.checks.built import BuiltPair
from sections.numbers.frame import Frame
from sections.solids.planar import as_multipolygon


@dataclass(frozen=True)
class PairFaces:
    """Both faces on the seam and what they share, in the x, y of `frame`, mm."""

    frame: Frame
    minus: MultiPolygon
    plus: MultiPolygon
    shared: MultiPolygon

    def face(self, side: str) -> MultiPolygon:
        """Return the face on the "minus" or "plus" side."""
        return self.minus if side == "minus" else self.plus


def read_faces(pair: BuiltPair) -> PairFaces:
    """Return the faces of both built sections on the pair's seam."""
    frame = pair.plane.frame()
    minus, plus = pair.minus.face(pair.plane, frame), pair.plus.face(pair.plane, frame)
    return PairFaces(frame, minus, plus, as_multipolygon(shapely.intersection(minus, plus)))
