"""Tyre sizes: from the mark on the side wall to the tyre's own size."""

from __future__ import annotations

import re
from dataclasses import dataclass

# The mark's form: section width, mm; aspect ratio, %; construction; rim diameter, inches (ETRTO, ISO 4000-1).
_MARK = re.compile(r"^(\d{3})/(\d{2,3})Z?[RDB](\d{2})$")
# UN Regulation No. 30: a tyre measured may be so much larger than its nominal section height and width (from memory).
GROWTH = 1.04
_INCH = 25.4


@dataclass(frozen=True)
class Tyre:
    """A tyre, mm. width : of its section. height : of its section. rim : diameter of the rim."""

    width: float
    height: float
    rim: float

    @property
    def diameter(self) -> float:
        """Overall diameter, mm: D = d + 2 H, as in UN Regulation No. 30."""
        return self.rim + 2 * self.height

    @property
    def largest_diameter(self) -> float:
        """The largest it may be, mm."""
        return self.rim + 2 * GROWTH * self.height

    @property
    def largest_width(self) -> float:
        """The widest it may be, mm."""
        return GROWTH * self.width


def tyre(mark: str) -> Tyre:
    """Return the tyre of a mark such as "205/55R16". Raises ValueError for text that is none.

    Rim and section height are rounded to whole millimetres, as in UN Regulation No. 30: d = 25.4 times the code, H =
    width times aspect ratio.
    """
    found = _MARK.match(mark.replace(" ", ""))
    if found is None:
        raise ValueError(f"{mark!r} is no tyre's mark")
    width, aspect, code = (int(part) for part in found.groups())
    return Tyre(float(width), float(round(width * aspect / 100)), float(round(_INCH * code)))
