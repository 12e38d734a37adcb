"""In which line a key stands: files as builders write them, lines counted by hand."""

import pytest

from sections.errors import PARAMETERS, BadInput, Problem
from sections.settings.lines import line_of, located
from tests.shared import POD, command

FILE = """# a body
name = "it"

[body]
file = "it.stl"   # a scan
axes = { rear = "x", up = "z" }

[seams]
planes = [
    { id = "x1", axis = "x", at = 290 },
    # the cabin
    { id = "x2", axis = "x", at = 580 },
]

[[bosses]]
id = "one"

[[bosses]]
id = "two"
at = [1, 2, 3]

[printer]
fits.key.slide = 0.2
[printer.fits.dowel]
slide = 0.1
"""


@pytest.mark.parametrize(
    ("key", "line"),
    [
        (("name",), 2),
        (("bosses",), 15),
        (("body",), 4),
        (("body", "file"), 5),
        (("body", "axes", "up"), 6),
        (("body", "units"), 4),
        (("seams", "planes", 0, "at"), 10),
        (("seams", "planes", 1), 12),
        (("bosses", 0, "id"), 16),
        (("bosses", 1, "at"), 20),
        (("bosses", 1, "at", 2), 20),
        (("bosses", 1, "insert"), 18),
        (("printer", "fits", "key", "slide"), 23),
        (("printer", "fits", "dowel", "slide"), 25),
        (("jig", "pad"), None),
    ],
)
def test_lines(key, line, tmp_path):
    (tmp_path / "it.toml").write_text(FILE)
    assert line_of(tmp_path / "it.toml", key) == line


def test_a_message_names_the_line(tmp_path):
    text = (POD / "pod.toml").read_text("utf-8") + "\n[wall]\nthickness = -1\n"
    (tmp_path / "it.toml").write_text(text)
    code, _, said = command("build", tmp_path / "it.toml", "--out", tmp_path)
    assert code == 2 and f"it.toml, line {len(text.splitlines())}: wall.thickness = -1" in said


def test_a_message_that_comes_late_names_file_and_line(tmp_path):
    """What is found on settings alone, in the file the key stands in, by `extends` or here."""
    (tmp_path / "base.toml").write_text(FILE)
    (tmp_path / "mine.toml").write_text('extends = "base.toml"\n[wall]\nthickness = 3\n')
    problems = [Problem(PARAMETERS, key, "", "", "") for key in ("bosses[2].at", "wall.thickness", "jig")]
    found = located(BadInput([*problems, Problem("other.stl", "body", "", "", "")]), tmp_path / "mine.toml").problems
    places = [(one.file.rpartition("/")[2], one.line) for one in found]
    assert places == [("base.toml", 20), ("mine.toml", 3), ("mine.toml", 0), ("other.stl", 0)]
