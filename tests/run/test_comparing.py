"""Two builds compared: what was edited, how far the sections are off, what is new and gone."""

import json
import shutil

import pytest

from tests.shared import BRICK, command


def built(folder, name, *edits):
    """Build the brick, edited, under a name of its own; return its parameter file."""
    text, script = (BRICK / "brick.toml").read_text(), (BRICK / "brick.py").read_text()
    for old, new in edits:
        assert old in text + script
        text, script = text.replace(old, new), script.replace(old, new)
    (folder / f"{name}.py").write_text(script)
    (folder / f"{name}.toml").write_text(text.replace('"brick"', f'"{name}"').replace("brick.py", f"{name}.py"))
    code, _, said = command("build", folder / f"{name}.toml", "--out", folder / "out", "--no-check")
    assert code == 0, said
    return folder / f"{name}.toml"


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("compared")


@pytest.fixture(scope="module")
def first(folder):
    return built(folder, "first")


def compared(folder, one, two):
    code, _, said = command("compare", one, two, "--out", folder / "out")
    assert code == 0, said
    place = next((folder / "out").glob(f"{one.stem}-to-{two.stem}"))
    return {one["id"]: one for one in json.loads((place / "compare.json").read_text())}, said, place


def test_the_same_twice(folder, first):
    sections, said, _ = compared(folder, first, first)
    assert "asked otherwise: nothing" in said and "sections: 2 the same, 0 otherwise" in said
    assert {one["state"] for one in sections.values()} == {"same"}


def test_a_longer_end(folder, first):
    """The rear end lies 10 mm further back, and so far off is the rear section there; a label on its inner face may
    stand another 0.8."""
    longer = built(folder, "longer", ("box(240,", "box(250,"), ("high = [220.0", "high = [230.0"))
    sections, said, place = compared(folder, first, longer)
    assert "openings.floor.high [220, 35, 30] -> [230, 35, 30]" in said and "name" not in said.split("\n")[-4]
    assert sections["X1"]["state"] == "differs" and 9.99 < sections["X1"]["off"] < 10.85
    # 10 mm more of a wall of 4 mm round 120 x 100 with corners of 20, less what the floor opening takes: PETG 1.27.
    around = 2 * (120 + 100) - 8 * 20 + 2 * 3.14159 * 20 - 4 * 2 * 3.14159 - 70
    assert sections["X1"]["grams"] - sections["X1"]["grams_before"] == pytest.approx(around * 40 * 1.27e-3, rel=0.05)
    page = (place / "compare.html").read_text()
    assert "X1" in page and "most off" in page and (place / "pictures" / "compared.png").stat().st_size > 5000


def test_a_seam_more(folder, first):
    more = built(folder, "more", ("at = 120 }", 'at = 90 }, { id = "x2", axis = "x", at = 160 }'))
    sections, said, _ = compared(folder, first, more)
    assert sections["X2"]["state"] == "new" and "new: X2" in said and "seams.planes.x1.at 120 -> 90" in said
    assert compared(folder, more, first)[0]["X2"]["state"] == "gone"


def test_folders_do_as_well(folder, first):
    code, _, said = command("compare", folder / "out" / "first", folder / "out" / "first", "--out", folder / "out")
    assert code == 0 and "2 the same" in said
    (folder / "empty").mkdir()
    code, _, said = command("compare", folder / "empty", first, "--out", folder / "out")
    assert code == 3 and "build first" in said
    shutil.rmtree(folder / "empty")
