"""A body made before is taken again, as it was, while nothing it was made from has changed; what misses it is refused
all the same."""

import shutil

import numpy as np
import pytest

from sections.body import load
from sections.body.foreign import noting_files
from sections.errors import BadInput
from sections.results import Store, digest_of
from sections.settings import Given, load_settings
from sections.solids.brep_bytes import brep_bytes
from tests.shared import BRICK

SCRIPT = """
from pathlib import Path

import cadquery as cq


def body():
    high = float((Path(__file__).parent / "high.txt").read_text())
    return cq.Workplane("XY").box(240, 120, high, centered=(False, True, False)).edges("|X").chamfer(20)


def hole():
    return cq.Workplane("XY").box(60, 40, 30).translate((60, 0, 0))
"""
OPENING = '\n[[openings]]\nid = "hole"\nkind = "solid"\nscript = "brick.py:hole"\n'


@pytest.fixture
def reading(tmp_path, monkeypatch):
    """A way to load the brick, whose height stands in a file its script reads; which of what it is made of was made."""
    (tmp_path / "brick.py").write_text(SCRIPT)
    (tmp_path / "high.txt").write_text("100")
    (tmp_path / "brick.toml").write_text((BRICK / "brick.toml").read_text() + OPENING)
    store, made = Store(tmp_path / "results", "any"), []
    for name in ("source_of_shape", "given_solids"):
        monkeypatch.setattr(load, name, _counted(getattr(load, name), name, made))

    def read(**given):
        made.clear()
        settings = load_settings(tmp_path / "brick.toml", Given(given))
        with noting_files() as noted:
            body = load.load_body(settings, tmp_path, store)
        return body, list(made), noted

    return tmp_path, read


def _counted(function, name, made):
    def counted(*arguments):
        made.append(name)
        return function(*arguments)

    return counted


def content(body):
    exact = [brep_bytes(solid.shape) for solid in (*body.exact.solids, *(one.exact for one in body.openings))]
    points = body.exact.tessellations[0].sample(500, 1).points
    openings = [one.mesh for one in body.openings]
    return digest_of(body.skin, body.block, body.doubt, openings, body.exact_points, body.notes, exact, points)


def test_the_same_without_being_made(reading):
    _, read = reading
    first, made, noted = read()
    assert made == ["source_of_shape", "given_solids"] and any(name.endswith("high.txt") for name in noted)
    again, made, noted_again = read()
    assert made == [] and content(again) == content(first) and noted_again == noted


def test_what_its_script_reads(reading):
    """Another height in the file: what the script gives is made again; so it is where the script itself changes."""
    folder, read = reading
    first = read()[0]
    (folder / "high.txt").write_text("90")
    body, made, _ = read()
    assert made == ["source_of_shape", "given_solids"]
    assert np.ptp(body.skin.vertices[:, 2]) == pytest.approx(90) and content(body) != content(first)
    (folder / "brick.py").write_text(SCRIPT.replace("(60, 40, 30)", "(60, 40, 34)"))
    assert read()[1] == ["source_of_shape", "given_solids"]


def test_a_boss_or_seam_leaves_it(reading):
    folder, read = reading
    read()
    text = (folder / "brick.toml").read_text()
    boss = '\n[[bosses]]\nid = "lamp"\ninsert = "M4"\nseen = { side = "top", at = [60, 0] }\n'
    (folder / "brick.toml").write_text(text.replace("at = 120", "at = 130") + boss)
    assert read()[1] == []
    (folder / "brick.toml").write_text(text + "\n[mesh]\ndeviation = 0.2\n")
    assert read()[1] == ["source_of_shape", "given_solids"]


def test_what_misses_it_is_refused(reading):
    folder, read = reading
    read()
    text = (folder / "brick.toml").read_text()
    (folder / "brick.toml").write_text(text.replace("at = 120", "at = 1200"))
    with pytest.raises(BadInput, match="a seam cuts the body"):
        read()


def test_elsewhere_it_is_made_again(reading, tmp_path_factory):
    """A script may do what it likes with the folder it stands in."""
    folder, read = reading
    read()
    other = tmp_path_factory.mktemp("other")
    for name in ("brick.py", "brick.toml", "high.txt"):
        shutil.copy(folder / name, other)
    store, settings = Store(folder / "results", "any"), load_settings(other / "brick.toml")
    body = load.load_body(settings, other, store)
    assert content(body) == content(load.load_body(settings, other))
