"""Dimensions and expressions: arithmetic by hand, units, rings, limits; a list of what must reach nothing."""

import json
import math
import time

import numpy as np
import pytest
from hypothesis import given as drawn
from hypothesis import strategies as st

from sections.errors import BadInput
from sections.settings import Given, Settings, load_settings, unused_dimensions
from sections.settings.expressions import ExpressionError, reckoned
from sections.settings.quantity import Quantity
from sections.settings.working_out import worked_out
from tests.shared import BRICK, ROOT, command, copy_body

NAMES = {
    "wheelbase": Quantity.of(2000, "mm"), "track": Quantity.of(1.2, "m"), "inch": Quantity.of(1, "in"),
    "lean": Quantity.of(30, "deg"), "share": Quantity.of(0.25, ""),
}  # fmt: skip


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("wheelbase / 2 + 40", 1040.0), ("40 + wheelbase * share", 540.0), ("-track", -1200.0), ("inch * 3", 76.2),
        ("2 ** 3 ** 2", 512.0), ("7 // 2 + 7 % 2", 4.0), ("wheelbase * sin(lean)", 1000.0),
        ("hypot(3, 4)", 5.0), ("atan2(track, track)", 45.0), ("sqrt(wheelbase * track)", math.sqrt(2.4e6)),
        ("min(wheelbase, track, 1500)", 1200.0), ("round(track / 7)", 171.0), ("ceil(0.2) + floor(2.9)", 3.0),
        ("(1 + 2) * (3 - 4)", -3.0), ("cos(60)", 0.5), ("tan(lean) ** 2", 1 / 3), ("1_000 + 1e3", 2000.0),
    ],
)  # fmt: skip
def test_by_hand(text, value):
    """A plain number is mm beside a length and deg in a sine. An inch is 25.4 mm (ISO 31-1, from memory)."""
    assert reckoned(text, NAMES).value == pytest.approx(value)


@pytest.mark.parametrize("text", ["wheelbase + lean", "sin(wheelbase)", "wheelbase ** lean", "max(track, lean)",
                                  "wheelbase // lean", "acos(track)", "lean - share"])  # fmt: skip
def test_what_does_not_go_together(text):
    with pytest.raises(ExpressionError):
        reckoned(text, NAMES)


HOSTILE = [
    "__import__('os').system('id')", "().__class__.__bases__[0].__subclasses__()", "open('/etc/passwd').read()",
    "wheelbase.__class__", "wheelbase.value", "eval('1')", "exec('x = 1')", "getattr(wheelbase, 'value')",
    "lambda: 1", "[1] * 10 ** 9", "'a' * 10 ** 9", "9 ** 9 ** 9 ** 9", "2 ** 1e9", "10 ** 400", "1e308 * 10",
    "{1: 2}", "[x for x in (1,)]", "1 if 1 else 2", "1 < 2", "not 1", "True", "None", "1j", "b'a'",
    "f'{wheelbase}'", "x := 1", "x = 1", "1; 2", "import os", "yield 1", "await x", "print(1)", "globals()", "sqrt",
    "sqrt()", "sqrt(1, 2)", "min()", "round(1, ndigits=2)", "*[1]", "1 / 0", "1 % 0", "1 // 0", "sqrt(-1)",
    "acos(2)", "(-8) ** 0.5", "nan", "inf", "1e999", "", "   ", "#", "\0", "1\n2", "(" * 250 + "1" + ")" * 250,
    "1" * 5000, "wheelbase " * 60, "~1", "1 & 1", "1 << 9", "1 @ 1", "...",
]  # fmt: skip


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_reaches_nothing(text):
    """No files, imports, attributes or memory: a refusal in words, at once."""
    began = time.perf_counter()
    with pytest.raises(ExpressionError) as refused:
        reckoned(text, NAMES)
    assert str(refused.value) and refused.value.remedy and time.perf_counter() - began < 1.0


def _joined(inner):
    parts = st.tuples(inner, st.sampled_from("+-*"), inner)
    return parts.map(lambda three: f"({three[0]} {three[1]} {three[2]})")


@drawn(st.recursive(st.sampled_from(["1", "2.5", "a", "b"]), _joined, max_leaves=12))
def test_as_python_reckons(text):
    """Of plain numbers, what Python itself makes of the same text."""
    names = {"a": Quantity(3.25, written=True), "b": Quantity(-7.0, written=True)}
    if len(text) <= 300:
        assert reckoned(text, names).value == pytest.approx(eval(text, {"a": 3.25, "b": -7.0}))


FILE = """name = "it"

[dimensions]
long = 240
wide = {{ value = 12, unit = "cm", least = 10, most = 20 }}
half = "long / 2"
{more}
[body]
file = "it.stl"
units = "mm"

[seams]
planes = [{{ id = "x1", axis = "x", at = "half + 2" }}]

[[openings]]
id = "floor"
kind = "profile"
along = "z"
points = [[20, "-wide / 2 + 25"], ["long - 20", 0], [20, "wide / 2 - 25"]]
start = -10
stop = "wall"
{openings}
[fits]
key = "{fit}"
"""


def read(tmp_path, more='wall = { value = 30, unit = "mm" }', openings="", fit="slide", given=None):
    (tmp_path / "it.stl").write_bytes(b"solid\nendsolid\n")
    (tmp_path / "it.toml").write_text(FILE.format(more=more, openings=openings, fit=fit))
    return load_settings(tmp_path / "it.toml", given or Given())


def test_wherever_a_number_stands(tmp_path):
    settings = read(tmp_path)
    assert settings.seams.planes[0].at == 122.0
    assert settings.openings[0].points == [[20.0, -35.0], [220.0, 0.0], [20.0, 35.0]]
    assert settings.openings[0].stop == 30.0 and settings.fits.key == "slide"
    assert settings.dimension_values == {"long": 240.0, "wide": 12.0, "half": 120.0, "wall": 30.0}


def test_in_tables_of_several_kinds(tmp_path):
    """Each row takes what its own kind does, whatever the kind of the first: a bar, a box, behind an outline."""
    bar = '[[openings]]\nid = "bar"\nkind = "cylinder"\ncentre = ["half", 0, 0]\naxis = [0, 0, 1]\n'
    box = '[[openings]]\nid = "box"\nkind = "box"\nlow = ["-half", 0, 0]\nhigh = [1, 1, 1]\n'
    made = read(tmp_path, openings=f'{bar}radius = "wide / 4"\nlength = 9\n{box}').openings
    assert made[1].centre == [120.0, 0.0, 0.0] and made[1].radius == 30.0 and made[2].low == [-120.0, 0.0, 0.0]


def test_a_number_times_a_share_is_a_length(tmp_path):
    """30 times a half, where mm are asked for; a share alone, or a number added to one, is none."""
    more = 'share = {{ value = 0.5, unit = "" }}\nwall = {wall}'
    for wall, value in (('"30 * share"', 15.0), ('"share * 30"', 15.0), ('"9 / share"', 18.0), ('"6 * cos(60)"', 3.0)):
        text = more.format(wall=wall).replace("{{", "{").replace("}}", "}")
        assert read(tmp_path, more=text).openings[0].stop == pytest.approx(value)
    for wall in ('"share"', '"share / 2"', '"share + 4"', '"share * share"'):
        text = more.format(wall=wall).replace("{{", "{").replace("}}", "}")
        with pytest.raises(BadInput, match="a length, as its unit says, not a plain number"):
            read(tmp_path, more=text)


def test_a_value_for_one_run(tmp_path):
    """What hangs on it follows; the file stays as it is."""
    settings = read(tmp_path, given=Given({"long": "300"}, name="longer"))
    assert settings.seams.planes[0].at == 152.0 and settings.name == "longer"
    assert read(tmp_path).seams.planes[0].at == 122.0
    assert read(tmp_path, given=Given({"long": "wide * 3"})).seams.planes[0].at == 182.0


MISTAKES = {
    "a name misspelt": (dict(more='wall = "lng / 8"'), ["line 7: dimensions.wall = 'lng / 8'", "did you mean `long`?"]),
    "a ring": (dict(more='wall = "other"\nother = "wall + 1"'), ["wall -> other -> wall", "break the ring"]),
    "of itself": (dict(more='wall = "wall / 2"'), ["wall -> wall"]),
    "the wrong unit": (dict(more='wall = { value = "long", unit = "deg" }'), ["an angle, as its unit says, not"]),
    "an area for a length": (dict(more='wall = "long * wide"'), ["a length, as its unit says, not an area"]),
    "an angle at a length": (dict(more='wall = { value = 3, unit = "deg" }'),
                             ["openings[1].stop = 'wall'", "a length, not an angle"]),
    "no unit we know": (dict(more='wall = { value = 3, unit = "yard" }'), ["dimensions.wall.unit", "'ft'"]),
    "another key": (dict(more="wall = { valu = 3 }"), ["dimensions.wall.valu", "did you mean `value`?"]),
    "a number of words": (dict(more="wall = true"), ["dimensions.wall"]),
    "a bad name": (dict(more='"my wall" = 3\nwall = 3'), ["my wall"]),
    "less than its least": (dict(given=Given({"wide": "9"})),
                            ["line 5: dimensions.wide = 9", "10 cm or more, its own limit"]),
    "more than its most": (dict(given=Given({"wide": "21"})), ["20 cm or less"]),
    "one the file lacks": (dict(given=Given({"lon": "9"})), ["--set", "such as long"]),
    "a value past a key's limit": (dict(openings='glass = { thickness = "long", bead = 3, width = 9 }'),
                                   ["openings[1].glass.thickness"]),
}  # fmt: skip


@pytest.mark.parametrize("name", MISTAKES)
def test_mistakes(tmp_path, name):
    arguments, words = MISTAKES[name]
    with pytest.raises(BadInput) as error:
        read(tmp_path, **arguments)
    for word in words:
        assert word in str(error.value), str(error.value)


def test_one_mistake_is_said_once(tmp_path):
    """Keys that hang on a dimension that is wrong are not wrong themselves."""
    with pytest.raises(BadInput) as error:
        read(tmp_path, more='wall = "nothing"')
    assert len(error.value.problems) == 1


def test_other_mistakes_are_said_with_it(tmp_path):
    """An expression that cannot be worked out, a key that is misspelt, a value past its limit, a text for a number: all
    four in one go, and nothing of what hangs on the first."""
    rows = 'glas = 3\n\n[wall]\nthickness = 900\n\n[flange]\nheight = "much"'
    with pytest.raises(BadInput) as error:
        read(tmp_path, more='wall = "lng / 8"', openings=rows)
    keys = sorted(problem.key for problem in error.value.problems)
    assert keys == ["dimensions.wall", "flange.height", "openings[1].glas", "wall.thickness"], str(error.value)


def test_no_boss_of_the_example_stands_on_a_seam():
    """As it stands, in each of its variants and at other lengths: its slices are even, so that at some a seam crosses
    the middle. A foot and a flange want some 16 mm."""
    example = ROOT / "params" / "examples" / "dimensions.toml"
    variants = [dict(one.dimensions) for one in load_settings(example).variants]
    assert {"length": 950} in variants
    for dimensions in ({}, *variants, {"length": 600}, {"length": 800}):
        settings = load_settings(example, Given({name: str(value) for name, value in dimensions.items()}))
        seams = [seam.at for seam in settings.seams.planes if seam.axis == "x"]
        for boss in settings.bosses:
            if boss.at is not None:
                assert min(abs(boss.at[0] - at) for at in seams) > 16.5, (dimensions, boss.id)


def test_words_stay_words(tmp_path):
    """A key that takes a word or a number takes an expression where it names a dimension."""
    assert read(tmp_path, fit="wall / 100").fits.key == pytest.approx(0.3)
    assert read(tmp_path, fit="press").fits.key == "press"


def test_what_nobody_takes(tmp_path):
    settings = read(tmp_path, more="wall = 30\nwheelbse = 3")
    assert unused_dimensions(tmp_path / "it.toml", settings) == ["dimensions.wheelbse: no key and no script takes it"]
    (tmp_path / "it.py").write_text("def body(wheelbase):\n    pass\n")
    text = (tmp_path / "it.toml").read_text().replace('file = "it.stl"', 'script = "it.py:body"')
    (tmp_path / "it.toml").write_text(text)
    said = unused_dimensions(tmp_path / "it.toml", load_settings(tmp_path / "it.toml"))
    assert said == ["dimensions.wheelbse: no key and no script takes it; one asks for wheelbase"]


def test_files_without_dimensions_are_as_they_were():
    data = {"name": "it", "seams": {"planes": [{"id": "x1", "axis": "x", "at": 3}]}}
    assert worked_out(data, Settings) == (data, [])


SCRIPTS = {
    "by name": "def body(long, wide):\n    return made(long, 10 * wide)",
    "all of them": "def body(dimensions):\n    return made(dimensions.long, 10 * dimensions['wide'])",
    "with a default": "def body(long, wide=12.0, edge=20.0):\n    return made(long, 10 * wide)",
    "none": "def body():\n    return made(240, 120)",
}
MADE = """import cadquery as cq


def made(long, wide):
    return cq.Workplane("XY").box(long, wide, 100, centered=(False, True, False)).edges("|X").chamfer(20)


"""


@pytest.mark.parametrize("script", SCRIPTS)
def test_by_expressions_and_by_numbers(tmp_path, script):
    """The brick by expressions of its dimensions, its script given them: print files equal to the byte to those of the
    brick with its numbers worked out."""
    copy_body(BRICK, tmp_path)
    (tmp_path / "by.py").write_text(MADE + SCRIPTS[script] + "\n")
    text = (BRICK / "brick.toml").read_text().replace("brick.py", "by.py").replace("at = 120", 'at = "long / 2"')
    text = text.replace("low = [20.0, -35.0, -10.0]", 'low = [20.0, "25 - wide / 2", -10.0]')
    text = text.replace("high = [220.0, 35.0, 30.0]", 'high = ["long - 20", "wide / 2 - 25", 30.0]')
    wide = 'wide = { value = 12, unit = "cm" }'
    (tmp_path / "by.toml").write_text(f"{text}\n[dimensions]\nlong = 240\n{wide}\n")
    for file, out in (("brick.toml", "numbers"), ("by.toml", "expressions")):
        code, _, said = command("build", tmp_path / file, "--out", tmp_path / out, "--no-check")
        assert code == 0, said
    for name in ("X0.stl", "X1.stl", "X0.3mf", "X1.3mf"):
        one, two = (tmp_path / out / "brick" / "sections" / name for out in ("numbers", "expressions"))
        assert one.read_bytes() == two.read_bytes(), name
    made = json.loads((tmp_path / "expressions" / "brick" / "manifest.json").read_text())
    assert made["settings"]["dimensions"]["long"]["value"] == 240.0
    assert np.isclose(made["settings"]["seams"]["planes"][0]["at"], 120.0)


@pytest.mark.parametrize(
    ("script", "words"),
    [
        ("def body(long, wdie):\n    pass", ["body(wdie)", "did you mean wide?"]),
        ("def body(dimensions):\n    return dimensions.lnog", ["in line 2", "has no lnog; did you mean long?"]),
        ("def body(long, *, wheelbase):\n    pass", ["body(wheelbase)", "[dimensions] has no wheelbase"]),
    ],
)
def test_a_script_that_asks_for_what_is_not_there(tmp_path, script, words):
    (tmp_path / "by.py").write_text(script + "\n")
    wide = 'wide = { value = 12, unit = "cm" }'
    body = 'name = "by"\n[body]\nscript = "by.py:body"\nunits = "mm"'
    (tmp_path / "by.toml").write_text(f"{body}\n[dimensions]\nlong = 240\n{wide}\n")
    code, _, said = command("build", tmp_path / "by.toml", "--out", tmp_path / "out")
    assert code == 2 and all(word in said for word in words), said


def test_by_the_command_line(tmp_path):
    """--set and --name: another folder, the file untouched; a form that is none is refused."""
    copy_body(BRICK, tmp_path)
    text = (tmp_path / "brick.toml").read_text().replace("at = 120", 'at = "cut"') + "\n[dimensions]\ncut = 120\n"
    (tmp_path / "brick.toml").write_text(text)
    out = tmp_path / "out"
    for more in ([], ["--set", "cut=100", "--name", "shorter"]):
        code, _, said = command("build", tmp_path / "brick.toml", "--out", out, "--no-check", *more)
        assert code == 0, said
    ends = []
    for name in ("brick", "shorter"):
        plan = json.loads((out / name / "plan.json").read_text())
        ends.append(plan["seams"][0]["plane"]["offset"])
    assert ends == [120.0, 100.0] and (tmp_path / "brick.toml").read_text() == text


@pytest.mark.parametrize("name", ["build", "plan", "check", "coupon", "stackup", "printed", "changed"])
def test_a_value_that_is_none(tmp_path, name):
    (tmp_path / "brick.toml").write_text((BRICK / "brick.toml").read_text())
    code, _, said = command(name, tmp_path / "brick.toml", "--out", tmp_path / "out", "--set", "cut")
    assert code == 2 and "--set wheelbase=2100" in said
    assert {path.name for path in tmp_path.iterdir()} == {"brick.toml"}
