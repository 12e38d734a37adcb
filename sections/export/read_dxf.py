"""Sheets read back: what a cutter would cut."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import ezdxf
from shapely import Polygon

from sections.errors import OutputRefused
from sections.export.write_dxf import CUT


@dataclass(frozen=True)
class Sheet:
    """One sheet. outlines : closed ones to cut, in the file's order, mm. open_lines : lines to cut that do not close.
    millimetres : whether the file says so. faults : what the library's own audit found."""

    outlines: tuple[Polygon, ...]
    open_lines: int
    millimetres: bool
    faults: int


def read_sheet(path: Path) -> Sheet:
    """Return a sheet. Raises OutputRefused for a file that is none."""
    try:
        drawing = ezdxf.readfile(path)
    # The library ends as it may on a file that breaks off.
    except (OSError, ezdxf.DXFError, StopIteration, ValueError, LookupError, AttributeError) as error:
        raise OutputRefused(f"{path}: not a drawing ({str(error) or type(error).__name__})") from None
    faults = len(drawing.audit().errors)
    lines = list(drawing.modelspace().query(f'LWPOLYLINE[layer=="{CUT}"]'))
    closed = [Polygon(line.get_points("xy")) for line in lines if line.closed]
    others = sum(entity.dxf.layer == CUT for entity in drawing.modelspace()) - len(closed)
    return Sheet(tuple(closed), others, drawing.units == ezdxf.units.MM, faults)
