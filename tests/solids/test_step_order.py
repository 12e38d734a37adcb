"""An assembly's colours in one order, whatever order they were written in."""

import itertools
import re

import cadquery
import pytest
from steputils import p21

from sections.numbers.frame import make_frame
from sections.solids.step_order import colours_in_order
from sections.solids.write_step import AssemblyPart, write_assembly

HEAD = """ISO-10303-21;
HEADER;
FILE_DESCRIPTION((''),'2;1');
FILE_NAME('shapes','2026-01-01T00:00:00',(''),(''),'','','');
FILE_SCHEMA(('AUTOMOTIVE_DESIGN'));
ENDSEC;
DATA;
#1 = APPLICATION_PROTOCOL_DEFINITION('#7 = no; reference',#2);
#2 = SHAPE('a');
#3 = SHAPE('b');
#4 = SHAPE('c');
"""
TAIL = "ENDSEC;\nEND-ISO-10303-21;\n"


def coloured(order, shared=False):
    """A file of three shapes with their colours written in an order; with `shared` two refer to the first one's."""
    lines, number, grey = [], 5, None
    for shape in order:
        mine = grey if shared and grey is not None and shape != 3 else number + 2
        lines.append(
            f"#{number} = MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',(\n    #{number + 1}),#{shape});"
        )
        lines.append(f"#{number + 1} = STYLED_ITEM('color',(#{mine}),#{shape});")
        if mine == number + 2:
            value = 0.25 if shared and shape != 3 else shape / 10
            lines.append(f"#{number + 2} = COLOUR_RGB('',{value},0.5,0.5);")
            grey = mine if shape != 3 else grey
        number += 2 + (mine == number + 2)
    return (HEAD + "\n".join(lines) + "\n" + TAIL).encode()


def colour_of(content):
    """Return the red of each shape, by its name, as another reader finds it."""
    read = p21.loads(content.decode())
    found = {}
    for entity in read.data[0].instances.values():
        if entity.entity.name == "STYLED_ITEM":
            _, (colour,), shape = entity.entity.params
            found[read.get(shape).entity.params[0]] = read.get(colour).entity.params[1]
    return found


@pytest.mark.parametrize("shared", [False, True])
def test_any_order_becomes_one(shared):
    """All six orders of three colours, two of them one colour written once: one file; each shape keeps its colour."""
    made = {colours_in_order(coloured(order, shared)) for order in itertools.permutations((2, 3, 4))}
    assert len(made) == 1
    (content,) = made
    expected = {"a": 0.25, "b": 0.3, "c": 0.25} if shared else {"a": 0.2, "b": 0.3, "c": 0.4}
    assert colour_of(content) == pytest.approx(expected)
    assert content.startswith(HEAD.encode()) and content.endswith(TAIL.encode())
    assert colours_in_order(content) == content


def test_without_colours():
    content = (HEAD + TAIL).encode()
    assert colours_in_order(content) == content


def test_an_assembly(tmp_path):
    """Four boxes, two of one colour, one in three places: read by steputils, each has the colour it was given."""
    colours = {"one": (0.2, 0.4, 0.6), "two": (0.9, 0.1, 0.1), "three": (0.2, 0.4, 0.6), "four": (0.5, 0.5, 0.5)}
    places = tuple(make_frame((50.0 * n, 0, 0), ((1, 0, 0), (0, 1, 0), (0, 0, 1))) for n in range(3))
    parts = [
        AssemblyPart(
            name, cadquery.Solid.makeBox(10 + number, 10, 10).wrapped, places if name == "four" else (), colour
        )
        for number, (name, colour) in enumerate(colours.items())
    ]
    write_assembly(parts, "whole", tmp_path / "whole.step")
    text = (tmp_path / "whole.step").read_text()
    assert len(re.findall(r"STYLED_ITEM\(", text)) == 4 and len(re.findall(r"COLOUR_RGB\(", text)) == 3
    read = p21.loads(text)
    assert all(reference in read.data[0].instances for reference in set(re.findall(r"#\d+", text)))
