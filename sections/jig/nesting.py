"""Laying parts on sheets: in rows, the highest first."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely import affinity

from sections.errors import PARAMETERS, BadInput, Problem
from sections.jig.sheet_part import SheetPart

# mm; between parts, beside the cutter's own width, and to the sheet's edge.
_BETWEEN = 6.0


@dataclass(frozen=True)
class Laid:
    """Where a part lies. sheet : from 1 on. turned : by a quarter, anticlockwise. shift : (2,) mm, then added."""

    part: str
    sheet: int
    turned: bool
    shift: tuple[float, float]

    def onto_sheet(self, shape: shapely.Geometry) -> shapely.Geometry:
        """Return a shape in the part's x, y where it lies on the sheet."""
        turned = affinity.rotate(shape, 90, origin=(0, 0)) if self.turned else shape
        return affinity.translate(turned, *self.shift)

    def off_sheet(self, shape: shapely.Geometry) -> shapely.Geometry:
        """Return a shape on the sheet in the part's own x, y."""
        back = affinity.translate(shape, -self.shift[0], -self.shift[1])
        return affinity.rotate(back, -90, origin=(0, 0)) if self.turned else back


def nest(parts: tuple[SheetPart, ...], sheet: tuple[float, float], cutter: float) -> tuple[Laid, ...]:
    """Return where each part lies on sheets of (width, length) mm, in the order of the parts. Raises BadInput for parts
    larger than a sheet."""
    gap = _BETWEEN + cutter
    width, length = sheet[0] - 2 * gap, sheet[1] - 2 * gap
    sized = [_sized(part, width, length) for part in parts]
    too_large = [part for part, fits in zip(parts, sized, strict=True) if fits is None]
    if too_large:
        sizes = [[round(high - low) for low, high in (part.outline.bounds[::2], part.outline.bounds[1::2])]
                 for part in too_large]  # fmt: skip
        named = ", ".join(f"{p.id} {w} x {h}" for p, (w, h) in zip(too_large, sizes, strict=True))
        limit = f"room for every part of the jig; too large: {named} mm"
        raise BadInput(
            [Problem(PARAMETERS, "jig.sheet", f"{list(sheet)}", limit, "larger sheets, or a lower jig.reach")]
        )
    laid: dict[str, Laid] = {}
    sheet_number, x, y, row = 1, 0.0, 0.0, 0.0
    for number in sorted(range(len(parts)), key=lambda i: (-sized[i][2], -sized[i][1], parts[i].id)):
        part, (turned, wide, high) = parts[number], sized[number]
        if x + wide > width:
            x, y, row = 0.0, y + row + gap, 0.0
        if y + high > length:
            sheet_number, x, y, row = sheet_number + 1, 0.0, 0.0, 0.0
        low = (affinity.rotate(part.outline, 90, origin=(0, 0)) if turned else part.outline).bounds[:2]
        laid[part.id] = Laid(part.id, sheet_number, turned, (gap + x - low[0], gap + y - low[1]))
        x, row = x + wide + gap, max(row, high)
    return tuple(laid[part.id] for part in parts)


def _sized(part: SheetPart, width: float, length: float) -> tuple[bool, float, float] | None:
    """Return (whether it is turned, extents across and along the sheet, mm), lying down where it fits so, or None."""
    left, low, right, high = part.outline.bounds
    ways = [(False, right - left, high - low), (True, high - low, right - left)]
    fitting = [way for way in ways if way[1] <= width and way[2] <= length]
    return min(fitting, key=lambda way: way[2], default=None)
