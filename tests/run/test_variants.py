"""A body at several sets of dimensions by one command: the brick, longer and shorter at one end."""

import json

import pytest

from sections.errors import BadInput
from sections.export.manifest import read_manifest
from sections.measuring.reading import built_section, read_plan
from sections.run.changes import prints_of
from sections.run.varying import variant_jobs
from sections.settings import Given
from tests.shared import command

FILE = """name = "bar"

[dimensions]
long = { value = 240, most = 300, note = "over all" }
cut = 120

[[variants]]
id = "long"
dimensions = { long = 260 }
note = "for the longer bed"

[[variants]]
id = "short"
dimensions = { long = "2 * cut - 10" }

[body]
script = "bar.py:body"
units = "mm"

[seams]
planes = [{ id = "x1", axis = "x", at = "cut" }]

[[openings]]
id = "floor"
kind = "box"
low = [20.0, -35.0, -10.0]
high = ["long - 20", 35.0, 30.0]

[output]
formats = ["stl"]
"""
SCRIPT = """
import cadquery as cq


def body(long):
    return cq.Workplane("XY").box(long, 120, 100, centered=(False, True, False)).edges("|X").chamfer(20)
"""


def written(folder, *edits):
    text = FILE
    for old, new in edits:
        assert old in text
        text = text.replace(old, new)
    (folder / "bar.toml").write_text(text)
    (folder / "bar.py").write_text(SCRIPT)
    return folder / "bar.toml"


@pytest.fixture(scope="module")
def family(tmp_path_factory):
    folder = tmp_path_factory.mktemp("family")
    code, _, said = command("variants", written(folder), "--out", folder / "out", "--no-check", "--processes", "1")
    assert code == 0, said
    return folder / "out", said


def test_each_is_built_at_its_dimensions(family):
    """The last section ends where the dimensions say: 240, 260, 2 x 120 - 10."""
    out, said = family
    for name, long in (("bar", 240), ("bar-long", 260), ("bar-short", 230)):
        assert read_plan(out / name).seams[0].plane.offset == 120
        assert built_section(out / name, "X1").mesh.bounds[1, 0] == pytest.approx(long, abs=0.01)
    assert "bar-long: long 240 -> 260 mm" in said and "bar-short: long 240 -> 230 mm" in said


def off(one, two):
    """Return how far two sections' surfaces lie apart at the most, mm: corners of each, off the other's faces."""
    return max(one.surface.unsigned(two.mesh.vertices).max(), two.surface.unsigned(one.mesh.vertices).max())


def test_what_is_alike_in_all(family):
    """Measured here on the sections as read back: what is alike in all, and nothing else, is said to be."""
    out, said = family
    data = json.loads((out / "bar-variants" / "variants.json").read_text())
    assert [one["name"] for one in data["variants"]] == ["bar", "bar-long", "bar-short"]
    assert [one["dimensions"]["long"] for one in data["variants"]] == [240, 260, 230]
    read = {name: [built_section(out / one, name) for one in ("bar", "bar-long", "bar-short")] for name in ("X0", "X1")}
    alike = [name for name, (first, *others) in read.items() if all(off(first, other) <= 0.05 for other in others)]
    assert data["shared"] == alike and "X1" not in alike
    assert f"alike in all, within 0.05 mm: {len(alike)} sections" in said


def test_one_print_for_all(tmp_path):
    """Of a variant that is no other body, every section is alike."""
    parameters = written(tmp_path, ("long = 260", 'long = "2 * cut"'))
    code, _, said = command("variants", parameters, "long", "--out", tmp_path / "out", "--no-check", "--processes", "1")
    assert code == 0 and "alike in all, within 0.05 mm: 2 sections (X0, X1)" in said, said


def test_pages(family):
    out, _ = family
    page = (out / "bar-variants" / "variants.html").read_text()
    for word in ("long, mm", "260", "230", "bar-to-bar-long/compare.html", "sections"):
        assert word in page
    for name in ("long", "short"):
        assert (out / f"bar-to-bar-{name}" / "pictures" / "compared.png").stat().st_size > 5000


def test_an_edit_of_the_list_makes_no_build_stale(family, tmp_path):
    """Variants are other builds: the base is as it was."""
    out, _ = family
    parameters = written(out.parent, ("long = 260", "long = 250"))
    try:
        code, _, said = command("check", parameters, "--out", out, "--processes", "1")
        assert "stale" not in said and code == 0, said
    finally:
        written(out.parent)


MISTAKES = {
    "no variants": (FILE[FILE.index("[[variants]]") : FILE.index("[body]")], "", ["variants", "add [[variants]]"]),
    "a dimension there is not": ("{ long = 260 }", "{ lon = 260 }",
                                 ["variants[1].dimensions.lon", "did you mean `long`"]),
    "a name twice": ('id = "short"', 'id = "long"', ["variants[2].id", "a name of its own"]),
    "a folder of another command": ('id = "short"', 'id = "plan"', ["variants[2].id", "no other command"]),
    "a name too long": ('id = "short"', f'id = "{"s" * 39}"', ["variants[2].id", "40 letters at most"]),
    "neither number nor text": ("{ long = 260 }", "{ long = true }",
                                ["line 9: variants[1].dimensions.long = True", "a number, or an expression in quotes"]),
    "none given": ("{ long = 260 }", "{}", ["variants[1].dimensions"]),
    "past a limit": ("{ long = 260 }", "{ long = 310 }", ["line 9: variants[1].dimensions.long", "300 mm or less"]),
    "an expression that is none": ("2 * cut - 10", "2 * cat - 10",
                                   ["line 14: variants[2].dimensions.long", "no dimension is called cat"]),
}  # fmt: skip


@pytest.mark.parametrize("name", MISTAKES)
def test_mistakes(tmp_path, name):
    """Each is said before anything is built."""
    old, new, words = MISTAKES[name]
    code, _, said = command("variants", written(tmp_path, (old, new)), "--out", tmp_path / "out")
    assert code == 2 and all(word in said for word in words), said
    assert not (tmp_path / "out").exists()


def test_a_name_of_forty_letters(tmp_path):
    """The job's name, a dash and the variant's: that long is a name."""
    name = "s" * 36
    jobs = variant_jobs(written(tmp_path, ('id = "short"', f'id = "{name}"')), Given(), [name])
    assert jobs[1].name == f"bar-{name}" and len(jobs[1].name) == 40


def test_one_of_them(tmp_path):
    jobs = variant_jobs(written(tmp_path), Given(), ["short"])
    assert [job.name for job in jobs] == ["bar", "bar-short"]
    with pytest.raises(BadInput, match="one of long, short"):
        variant_jobs(written(tmp_path), Given(), ["shorter"])


def test_what_cannot_be_built_is_left_out(tmp_path):
    """At 130 long, the seam at 120 leaves no room: the two others are built and compared; the error ends the run."""
    parameters = written(tmp_path, ('"2 * cut - 10"', "110"))
    code, _, said = command("variants", parameters, "--out", tmp_path / "out", "--no-check", "--processes", "1")
    assert code == 2 and "bar-short is left out" in said and "a seam cuts the body" in said
    data = json.loads((tmp_path / "out" / "bar-variants" / "variants.json").read_text())
    assert [one["name"] for one in data["variants"]] == ["bar", "bar-long"]
    assert prints_of(read_manifest(tmp_path / "out" / "bar"))
