"""An assembly of parts that have their files already: read by OCC, and by another reader of the same standard."""

import re

import cadquery as cq
import numpy as np
import pytest
from steputils import p21

from sections.numbers.frame import make_frame
from sections.solids.print_solid import PrintSolid
from sections.solids.step_join import WrittenPart
from sections.solids.write_step import AssemblyPart, step_bytes, tessellated_step_bytes, write_assembly

BLOCK = cq.Workplane().box(40, 30, 20).cut(cq.Workplane("XY", (0, 0, -25)).circle(3).extrude(50)).val()
ROUND = cq.Workplane().circle(10).extrude(50).val()
PIN = cq.Workplane().rect(3, 3).extrude(8).val()


@pytest.fixture(scope="module")
def joined(tmp_path_factory):
    """An assembly of two parts from their files and a pin, which OCC writes, at two places."""
    folder = tmp_path_factory.mktemp("joined")
    block, cylinder = (WrittenPart.of(step_bytes(one.wrapped, "it", lean=True)) for one in (BLOCK, ROUND))
    places = tuple(make_frame(np.array([0.0, 0.0, z]), np.eye(3)) for z in (100.0, 200.0))
    parts = [
        AssemblyPart("X1", block, (), (0.1, 0.2, 0.3)),
        AssemblyPart("X1Z2R", cylinder, (), (0.7, 0.6, 0.5)),
        AssemblyPart("pin", PIN.wrapped, places, (0.2, 0.2, 0.2)),
    ]
    write_assembly(parts, "whole", folder / "whole.step")
    return folder / "whole.step"


def test_its_parts_are_there_in_place(joined):
    """Volumes and heights by closed form: a block of 40 x 30 x 20 with a hole of 3, a cylinder, two pins."""
    solids = cq.importers.importStep(str(joined)).solids().vals()
    volumes = sorted(solid.Volume() for solid in solids)
    assert volumes == pytest.approx([9 * 8, 9 * 8, np.pi * 100 * 50, 40 * 30 * 20 - np.pi * 9 * 20])
    assert max(solid.BoundingBox().zmax for solid in solids) == pytest.approx(208)
    assert all(solid.isValid() for solid in solids)


def test_another_reader_finds_all_it_refers_to(joined):
    """Every reference resolves, no number is used twice, no stand-in is left, and each product has its colour."""
    text = joined.read_text()
    numbers = re.findall(r"^#(\d+) =", text, re.M)
    assert len(numbers) == len(set(numbers))
    without_names = re.sub(r"'[^']*'", "''", text)
    assert set(re.findall(r"#(\d+)", without_names)) == set(numbers)
    read = p21.loads(text)
    entities = [one.entity for one in read.data[0].instances.values() if hasattr(one, "entity")]
    kinds = [one.name for one in entities]
    assert kinds.count("MANIFOLD_SOLID_BREP") == 3 and "SPHERICAL_SURFACE" not in kinds
    assert sorted(one.params[0] for one in entities if one.name == "PRODUCT") == ["X1", "X1Z2R", "pin", "whole"]
    coloured = [read.get(one.params[2]).entity.name for one in entities if one.name == "STYLED_ITEM"]
    assert coloured == ["MANIFOLD_SOLID_BREP"] * 3


def test_the_colour_is_the_parts_own(joined):
    """A block with a hole has seven faces, a pin six, a cylinder three: each is as red as asked for."""
    read = p21.loads(joined.read_text())
    reds = {}
    for one in read.data[0].instances.values():
        if getattr(one, "entity", None) is not None and one.entity.name == "STYLED_ITEM":
            solid, style = one.entity.params[2], one.entity.params[1][0]
            while read.get(style).entity.name != "COLOUR_RGB":
                style = next(p for p in flat(read.get(style).entity.params) if isinstance(p, p21.Reference))
            shell = read.get(read.get(solid).entity.params[1])
            reds[len(shell.entity.params[1])] = read.get(style).entity.params[1]
    assert reds == {7: pytest.approx(0.1, abs=1e-3), 6: pytest.approx(0.2, abs=1e-3), 3: pytest.approx(0.7, abs=1e-3)}


def flat(params):
    for one in params:
        yield from flat(one) if isinstance(one, list | tuple | p21.ParameterList) else (one,)


def test_what_is_no_exact_file_is_none_to_join(tmp_path):
    """One of triangles, one cut off short, and one of a shape that was moved, which OCC writes as an assembly."""
    mesh = PrintSolid.box(np.zeros(3), np.full(3, 10.0)).mesh()
    moved = BLOCK.moved(cq.Location(cq.Vector(1, 0, 0)))
    files = tessellated_step_bytes(mesh, "X0"), step_bytes(BLOCK.wrapped, "X0")[:-900], step_bytes(moved.wrapped, "X0")
    assert [WrittenPart.of(one) for one in files] == [None] * 3
    assert len(WrittenPart.of(step_bytes(BLOCK.wrapped, "X0")).items) == 1
