"""Sheets as another library reads them: ezdxf's reader and audit (the DXF reference: $INSUNITS 4 is millimetres)."""

import ezdxf
import numpy as np
import pytest
import shapely
from shapely import LineString, Polygon, box

from sections.export.read_dxf import read_sheet
from sections.export.write_dxf import dxf_bytes

CUTS = [box(10, 10, 110, 60), Polygon([(200, 20), (300, 20), (250, 90)])]
MARKS = [LineString([(20, 20), (90, 20)]), box(30, 30, 40, 40).boundary]


def test_units_loops_layers(tmp_path):
    (tmp_path / "sheet.dxf").write_bytes(dxf_bytes((600.0, 400.0), CUTS, MARKS))
    drawing = ezdxf.readfile(tmp_path / "sheet.dxf")
    assert drawing.header["$INSUNITS"] == 4 and not drawing.audit().errors
    lines = {
        layer: list(drawing.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]')) for layer in ("CUT", "MARK", "SHEET")
    }
    assert [line.closed for line in lines["CUT"]] == [True, True]
    assert [line.closed for line in lines["MARK"]] == [False, True]
    areas = [Polygon(line.get_points("xy")).area for line in (*lines["CUT"], *lines["SHEET"])]
    assert areas == pytest.approx([100 * 50, 100 * 70 / 2, 600 * 400])
    assert len(drawing.modelspace()) == 5, "nothing else"


def test_the_same_bytes():
    assert dxf_bytes((600.0, 400.0), CUTS, MARKS) == dxf_bytes((600.0, 400.0), CUTS, MARKS)


def test_read_back(tmp_path):
    (tmp_path / "sheet.dxf").write_bytes(dxf_bytes((600.0, 400.0), CUTS, MARKS))
    sheet = read_sheet(tmp_path / "sheet.dxf")
    assert sheet.millimetres and not sheet.open_lines and not sheet.faults
    assert [one.symmetric_difference(two).area for one, two in zip(sheet.outlines, CUTS, strict=True)] == pytest.approx(
        [0, 0]
    )


def test_what_is_wrong_is_seen(tmp_path):
    """In inches, with a line to cut that does not close."""
    drawing = ezdxf.new("R2010", units=ezdxf.units.IN)
    drawing.layers.add("CUT")
    drawing.modelspace().add_lwpolyline([(0, 0), (10, 0), (10, 10)], dxfattribs={"layer": "CUT"})
    drawing.saveas(tmp_path / "sheet.dxf")
    sheet = read_sheet(tmp_path / "sheet.dxf")
    assert (sheet.millimetres, sheet.open_lines, len(sheet.outlines)) == (False, 1, 0)


def test_curves_keep_their_shape(tmp_path):
    """A disc of 256 corners, to the file's four decimals."""
    disc = shapely.Point(200, 200).buffer(150, quad_segs=64)
    (tmp_path / "sheet.dxf").write_bytes(dxf_bytes((400.0, 400.0), [disc], []))
    read = read_sheet(tmp_path / "sheet.dxf").outlines[0]
    assert np.abs(np.array(read.exterior.coords) - np.array(disc.exterior.coords)).max() < 1e-4
