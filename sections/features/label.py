"""The label of a section, raised off its inner face: its id, which way is up, which way is forward."""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import combinations, pairwise

import numpy as np
import shapely
from shapely import affinity

from sections.features.letters import arrow_outline, end_on_outline, text_outline, text_width
from sections.numbers.frame import Frame

UP = np.array([0.0, 0.0, 1.0])
FORWARD = np.array([-1.0, 0.0, 0.0])
# What stands beside their arrows.
_NAMES = ("U", "F")
# A direction whose part in the label's plane is shorter than this is drawn end on.
_END_ON = 0.35


@dataclass(frozen=True)
class Label:
    """text : the id. height, stroke, relief : mm. arrows : whether up and forward are drawn below the id. rows : lines
    the id is written in. sunk : whether it is cut `relief` deep into a seam face, for want of inner face.

    Its frame: z off the face toward the reader, x along the text, origin in the middle of the outline.
    """

    text: str
    height: float
    stroke: float
    relief: float
    arrows: bool
    rows: int = 1
    sunk: bool = False

    @property
    def lines(self) -> tuple[str, ...]:
        """The id parted before its capitals into `rows` lines, or as many as it has parts, none longer than need be."""
        parts = re.findall(r"[^A-Z]*[A-Z][^A-Z]*", self.text) or [self.text]
        ways = (
            tuple("".join(parts[start:end]) for start, end in pairwise((0, *cuts, len(parts))))
            for cuts in combinations(range(1, len(parts)), min(self.rows, len(parts)) - 1)
        )
        return min(ways, key=lambda lines: max(map(len, lines)))

    @property
    def block(self) -> float:
        """Height of all its lines, mm."""
        return len(self.lines) * (self.height + self._gap) - self._gap

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the whole label, mm."""
        # An arrow and its letter at either end, and between the letters as much as beside them.
        arrows = 2 * (self._cell + 2 * self._beside) + sum(map(self._wide, _NAMES)) if self.arrows else 0.0
        width = max(*(text_width(line, self.height, self.stroke) for line in self.lines), arrows)
        return width, self.block + (self._gap + self._cell if self.arrows else 0.0)

    @property
    def _cell(self) -> float:
        return 1.3 * self.height

    @property
    def _gap(self) -> float:
        return 0.5 * self.height

    @property
    def _beside(self) -> float:
        return max(0.25 * self.height, self.stroke)

    @property
    def _small(self) -> float:
        """Height of the arrows' letters, mm."""
        return max(0.75 * self.height, 6 * self.stroke)

    def _wide(self, letter: str) -> float:
        return text_width(letter, self._small, self.stroke)

    def outline(self, frame: Frame) -> shapely.Geometry:
        """Return the label's outline in the x, y of `frame`, which tells where up and forward lie, mm."""
        width, height = self.size
        shapes = []
        for row, line in enumerate(self.lines):
            text = text_outline(line, self.height, self.stroke)
            across = text_width(line, self.height, self.stroke)
            low = height / 2 - self.height - row * (self.height + self._gap)
            shapes.append(affinity.translate(text, -across / 2, low))
        if self.arrows:
            shapes += self._arrow(_NAMES[0], UP, frame, -width / 2 + self._cell / 2, -height / 2 + self._cell / 2)
            shapes += self._arrow(_NAMES[1], FORWARD, frame, width / 2 - self._cell / 2, -height / 2 + self._cell / 2)
        return shapely.union_all(shapes)

    def _arrow(self, letter: str, direction: np.ndarray, frame: Frame, x: float, y: float) -> list:
        """Return an arrow (or its end-on sign) centred at x, y with its small letter toward the middle."""
        local = direction @ frame.rotation
        flat = np.hypot(local[0], local[1])
        if flat < _END_ON:
            sign = end_on_outline(self._cell, self.stroke, toward_viewer=bool(local[2] > 0))
        else:
            sign = arrow_outline((local[0] / flat, local[1] / flat), self._cell, self.stroke)
        name, wide = text_outline(letter, self._small, self.stroke), self._wide(letter)
        beside = x - np.sign(x) * (self._cell / 2 + self._beside + wide / 2)
        return [affinity.translate(sign, x, y), affinity.translate(name, beside - wide / 2, y - self._small / 2)]
