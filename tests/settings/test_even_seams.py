"""Families of even seams: places by hand, names that stay, mistakes by key."""

import pytest

from sections.errors import BadInput
from sections.settings import Given, load_settings
from sections.settings.even_seams import with_even_seams
from sections.settings.joints import SeamPlane
from sections.settings.rules_seams import in_cutting_order

FILE = """name = "it"
[dimensions]
long = 2600
[body]
file = "it.stl"
units = "mm"
[seams]
planes = [{ id = "y1", axis = "y", at = 0 }]
even = [
    { family = "x", axis = "x", start = 0, stop = "long", apart = 290, bolted = "room" },
    { family = "z", normal = [0, 0.6, 0.8], start = 100, stop = 400, apart = 150, within = ["+y1"] },
]
"""


def read(tmp_path, old="", new="", given=None):
    assert old in FILE
    (tmp_path / "it.stl").write_bytes(b"solid\nendsolid\n")
    (tmp_path / "it.toml").write_text(FILE.replace(old, new) if old else FILE)
    return load_settings(tmp_path / "it.toml", given or Given()).seams.planes


def test_by_hand(tmp_path):
    """2600 in slices of 290 at most: 8.97, so 9 slices of 288.89, 8 seams; 300 in slices of 150: one, amid them."""
    planes = read(tmp_path)
    assert [plane.id for plane in planes] == ["y1", *(f"x{n}" for n in range(1, 9)), "z1"]
    assert [plane.at for plane in planes[1:9]] == pytest.approx([2600 * n / 9 for n in range(1, 9)], abs=1e-6)
    assert all(plane.axis == "x" and plane.bolted == "room" for plane in planes[1:9])
    assert planes[9].at == 250 and planes[9].normal == [0, 0.6, 0.8] and planes[9].within == ["+y1"]


@pytest.mark.parametrize(("long", "count"), [(290, 0), (290.5, 1), (580, 1), (2610, 8), (2611, 9)])
def test_no_slice_is_wider(tmp_path, long, count):
    ids = [plane.id for plane in read(tmp_path, given=Given({"long": str(long)}))]
    assert sum(name.startswith("x") for name in ids) == count


def test_seams_within_a_family(tmp_path):
    """A seam of the file's own may lie within a family's; a family within the file's own."""
    planes = read(tmp_path, '"y1", axis = "y", at = 0 }', '"y1", axis = "y", at = 0, within = ["+x2", "-x3"] }')
    assert next(plane for plane in planes if plane.id == "y1").within == ["+x2", "-x3"]
    cut = [plane.id for plane in in_cutting_order(planes)]
    assert cut.index("y1") > cut.index("x3") and cut.index("z1") > cut.index("y1")


def test_the_order_of_cuts():
    """As they stand in the file, but each behind those it stops at; families in the order of their numbers."""
    rows = [("a", ["+b"]), ("b", []), ("c", ["-a", "+d"]), ("d", []), ("e", [])]
    planes = [SeamPlane(id=f"{name}1", axis="x", at=0.0, within=[f"{w}1" for w in within]) for name, within in rows]
    assert [plane.id for plane in in_cutting_order(planes)] == ["b1", "a1", "d1", "c1", "e1"]
    assert in_cutting_order(planes[1::2]) == planes[1::2]


def test_a_family_goes_on_from_the_files_own(tmp_path):
    """Behind its own seams of that letter, numbered on: sections are named by the last seam they lie beyond."""
    (tmp_path / "it.stl").write_bytes(b"solid\nendsolid\n")
    own = '{ id = "x1", axis = "x", at = 100 }, { id = "y1"'
    text = FILE.replace('{ id = "y1"', own).replace('family = "x", axis', 'family = "x", number = 2, axis')
    (tmp_path / "it.toml").write_text(text.replace("start = 0,", "start = 100,"))
    planes = load_settings(tmp_path / "it.toml").seams.planes
    assert [plane.id for plane in planes] == ["x1", "y1", *(f"x{n}" for n in range(2, 10)), "z1"]
    places = [plane.at for plane in planes if plane.id.startswith("x")]
    assert places == pytest.approx([100 + 2500 * n / 9 for n in range(9)], abs=1e-6)


def test_a_mistake_in_the_files_own_seams_is_named_where_it_stands(tmp_path):
    """Whatever families there are: the row as it is counted in the file, and its line."""
    with pytest.raises(BadInput) as error:
        read(tmp_path, 'axis = "y", at = 0', 'axs = "y", at = 0')
    assert "line 8: seams.planes[1].axs" in str(error.value)


MISTAKES = {
    "ends turned round": ("start = 100, stop = 400", "start = 400, stop = 100",
                          ["seams.even[2].stop = 100", "more than start"]),
    "far too many": ("apart = 290", "apart = 2", ["seams.even[1].apart = 2", "26.3 or more: 99 seams"]),
    "no family": ('family = "x", ', "", ["seams.even[1].family", "given"]),
    "a family of two letters": ('family = "x"', 'family = "xy"', ["seams.even[1].family", "one small letter"]),
    "a name taken": ('id = "y1", axis = "y"', 'id = "x3", axis = "y"', ["'x3'", "a name of its own"]),
    "both ways": ('family = "x", axis = "x"', 'family = "x", axis = "x", normal = [1, 0, 0]', ["exactly one of"]),
    "a number that is none": ('family = "x", axis', 'family = "x", number = 0, axis', ["seams.even[1].number", "1"]),
    "nothing apart": ("apart = 290", "apart = 0", ["seams.even[1].apart", "more than 0"]),
    "a key too many": ("apart = 290", "apart = 290, at = 3", ["seams.even[1].at", "a key of [seams.even[1]]"]),
}  # fmt: skip


@pytest.mark.parametrize("name", MISTAKES)
def test_mistakes(tmp_path, name):
    old, new, words = MISTAKES[name]
    with pytest.raises(BadInput) as error:
        read(tmp_path, old, new)
    for word in words:
        assert word in str(error.value), str(error.value)


def test_files_without_families_are_as_they_were():
    data = {"seams": {"planes": [{"id": "x1", "axis": "x", "at": 3}]}}
    assert with_even_seams(data) == (data, []) and with_even_seams({}) == ({}, [])
