"""Seams set off openings and wheels: places by hand, and mistakes by key."""

import math

import pytest

from sections.errors import BadInput
from sections.settings import Given, load_settings

FILE = """name = "it"
[dimensions]
long = 900
[body]
file = "it.stl"
units = "mm"
[seams]
planes = [{seam}]
[[openings]]
id = "door"
kind = "profile"
along = "y"
points = [[300, 200], ["long - 200", 200], [600, 500]]
start = 100
stop = 400
[[openings]]
id = "arch"
kind = "cylinder"
centre = [200, 300, 100]
axis = [0, 1, 0]
radius = 150
length = 200
[[openings]]
id = "floor"
kind = "box"
low = [50, -80, -10]
high = [850, 80, 40]
[[openings]]
id = "own"
kind = "solid"
file = "it.stl"
[[openings]]
id = "bar"
kind = "cylinder"
centre = [200, 300, 100]
axis = {bar}
radius = 15
length = 20
[[openings]]
id = "twice"
kind = "box"
low = [50, -80, -10]
high = [850, 80, 40]
[[wheels]]
id = "twice"
diameter = 520
width = 130
centre = [200, 320, 100]
[[wheels]]
id = "wheel"
diameter = 520
width = 130
centre = [200, 320, 100]
[[wheels]]
id = "marked"
tyre = "135/80R13"
centre = [800, 0, 100]
"""


def read(tmp_path, seam, given=None):
    (tmp_path / "it.stl").write_bytes(b"solid\nendsolid\n")
    axis = "[0, 0, 0]" if '"bar"' in seam else "[1, 0, 0]"
    (tmp_path / "it.toml").write_text(FILE.replace("{seam}", "{ " + seam + " }").replace("{bar}", axis))
    return load_settings(tmp_path / "it.toml", given or Given()).seams.planes[0]


HALF = math.sqrt(0.5)
# The arch along (1, 1, 0): its middle at 500 / sqrt 2, half its reach 150 sin 45 + 100 cos 45 deg.
PLACES = {
    "before a door": ('axis = "x", off = { beside = "door", end = "low", by = 30 }', 270),
    "behind it": ('axis = "x", off = { beside = "door", end = "high", by = 30 }', 730),
    "above it, into it": ('axis = "z", off = { beside = "door", end = "high", by = -20 }', 480),
    "beside it": ('axis = "y", off = { beside = "door", end = "low", by = 0 }', 100),
    "behind a wheel arch": ('axis = "x", off = { beside = "arch", end = "high", by = 25 }', 375),
    "its inner end": ('axis = "y", off = { beside = "arch", end = "low", by = 25 }', 175),
    "slanted off it": ('normal = [2, 2, 0], off = { beside = "arch", end = "high", by = 10 }', 750 * HALF + 10),
    "off a box": ('axis = "x", off = { beside = "floor", end = "low", by = 5 }', 45),
    "above a wheel": ('axis = "z", off = { beside = "wheel", end = "high", by = 60 }', 420),
    "beside a wheel": ('axis = "y", off = { beside = "wheel", end = "high", by = 15 }', 400),
}


@pytest.mark.parametrize("name", PLACES)
def test_by_hand(tmp_path, name):
    seam, at = PLACES[name]
    assert read(tmp_path, f'id = "a1", {seam}').at == pytest.approx(at, abs=1e-6)


def test_it_goes_with_an_edit(tmp_path):
    seam = 'id = "x1", axis = "x", off = { beside = "door", end = "high", by = "long / 30" }'
    assert read(tmp_path, seam).at == 730
    assert read(tmp_path, seam, Given({"long": "960"})).at == 792


MISTAKES = {
    "both": ('axis = "x", at = 3, off = { beside = "door", end = "low", by = 30 }', ["planes[1].at", "not both"]),
    "neither": ('axis = "x"', ["seams.planes[1].at", "given"]),
    "a name there is not": ('axis = "x", off = { beside = "dor", end = "low", by = 30 }',
                            ["planes[1].off.beside = 'dor'", "did you mean `door`?"]),
    "a solid": ('axis = "x", off = { beside = "own", end = "low", by = 30 }', ["given by its dimensions", "or `at`"]),
    "a tyre by its mark": ('axis = "x", off = { beside = "marked", end = "low", by = 3 }', ["given by its dimensions"]),
    "an id of two": ('axis = "x", off = { beside = "twice", end = "low", by = 3 }', ["wheel alone has"]),
    "a bar without direction": ('axis = "x", off = { beside = "bar", end = "low", by = 3 }', ["openings[5].axis"]),
    "no table": ('axis = "x", off = 3', ["planes[1].off"]),
    "an end there is not": ('axis = "x", off = { beside = "door", end = "left", by = 30 }', ["planes[1].off.end"]),
    "no distance": ('axis = "x", off = { beside = "door", end = "low" }', ["planes[1].off.by"]),
    "no direction": ('off = { beside = "door", end = "low", by = 3 }', ["exactly one of `axis` and `normal`"]),
}  # fmt: skip


@pytest.mark.parametrize("name", MISTAKES)
def test_mistakes(tmp_path, name):
    seam, words = MISTAKES[name]
    with pytest.raises(BadInput) as error:
        read(tmp_path, f'id = "x1", {seam}')
    assert all(word in str(error.value) for word in words), str(error.value)
    assert name == "neither" or "add `at`" not in str(error.value)
