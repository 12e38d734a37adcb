"""What a script reads is known, however it reads it; what it read otherwise than it now is, too."""

import os
from pathlib import Path

import cadquery as cq
import numpy as np
import pytest

from sections.body import noting_files
from sections.body.files_read import FilesRead
from sections.body.foreign import foreign_script
from sections.export.digest import changed_sources, read_digests
from sections.results import is_followed, sha256_of, source_state
from sections.results.sources import ABSENT, CHANGED

HEAD = "import os\nfrom pathlib import Path\n\nimport cadquery as cq\n\nHERE = Path(__file__).parent\n\n\ndef body():\n"
BOX = "    return cq.Workplane().box(60, 50, 40)\n"


def read_by(folder, lines):
    """Return what a script with these lines in its function reads, by names from the folder."""
    text = "".join(f"    {line}\n" for line in lines)
    (folder / "it.py").write_text(HEAD + text + ("" if "return" in text else BOX))
    with noting_files() as read:
        foreign_script("it.py:body", folder, "body.script")
    return read_digests(read, folder)


READS = {
    "opened": 'open(HERE / "data.txt").read()',
    "opened to be changed": 'open(HERE / "data.txt", "r+").read()',
    "by a path of bytes": 'open(os.fsencode(HERE / "data.txt")).read()',
    "by the system's call": 'os.close(os.open(HERE / "data.txt", os.O_RDONLY))',
    "mapped": 'import numpy; numpy.memmap(HERE / "data.txt", dtype="uint8")',
    "a data base": 'import sqlite3; sqlite3.connect(HERE / "data.txt").close()',
    "by its name alone": 'name = "data.txt"',
}


@pytest.mark.parametrize("how", READS)
def test_a_file(tmp_path, how):
    (tmp_path / "data.txt").write_text("before")
    sources = read_by(tmp_path, [READS[how]])
    assert sources["data.txt"] == sha256_of(tmp_path / "data.txt") and set(sources) == {"it.py", "data.txt"}
    assert changed_sources(sources, tmp_path) == []
    (tmp_path / "data.txt").write_text("after")
    assert changed_sources(sources, tmp_path) == ["data.txt"]


def test_a_step_file_that_the_cad_kernel_opens(tmp_path):
    """Python is not told of it. Its name is put together as the script runs, so that it stands nowhere."""
    cq.exporters.export(cq.Workplane().box(60, 50, 40), str(tmp_path / "shape.step"))
    sources = read_by(tmp_path, ['return cq.importers.importStep(str(HERE / ("sha" + HERE.name[:0] + "pe.step")))'])
    assert sources["shape.step"] == sha256_of(tmp_path / "shape.step")
    by_name = ["from OCP.STEPControl import STEPControl_Reader", "STEPControl_Reader().ReadFile("]
    by_name[1] += 'filename=str(HERE / ("sha" + HERE.name[:0] + "pe.step")))'
    sources = read_by(tmp_path, by_name)
    assert sources["shape.step"] == sha256_of(tmp_path / "shape.step")


def test_a_file_that_is_not_there(tmp_path):
    sources = read_by(tmp_path, ["try:", '    open(HERE / "maybe.txt")', "except FileNotFoundError:", "    pass"])
    assert sources["maybe.txt"] == ABSENT and changed_sources(sources, tmp_path) == []
    (tmp_path / "maybe.txt").write_text("now")
    assert changed_sources(sources, tmp_path) == ["maybe.txt"]


def test_names_in_a_folder(tmp_path):
    (tmp_path / "extra").mkdir()
    sources = read_by(tmp_path, ['list((HERE / "extra").glob("*.txt"))'])
    assert changed_sources(sources, tmp_path) == []
    (tmp_path / "extra" / "one.txt").write_text("")
    assert changed_sources(sources, tmp_path) == ["names in extra"]
    assert not any(name.startswith("names in .") for name in sources), "where Python looks for modules does not count"


def test_a_link_that_points_elsewhere(tmp_path):
    for name in ("one", "two"):
        (tmp_path / name).write_text(name)
    (tmp_path / "current").symlink_to("one")
    sources = read_by(tmp_path, ['open(HERE / ("curr" + HERE.name[:0] + "ent")).read()'])
    (tmp_path / "current").unlink()
    (tmp_path / "current").symlink_to("two")
    assert changed_sources(sources, tmp_path) == ["current"]


@pytest.mark.parametrize("asks", ['os.environ.get("SECTIONS_TRIAL")', 'os.environ["SECTIONS_TRIAL"]'])
def test_the_environment(tmp_path, monkeypatch, asks):
    """As it is when the script runs, and not as it was when the first process was started."""
    for value in ("100", "110"):
        monkeypatch.setenv("SECTIONS_TRIAL", value)
        sources = read_by(tmp_path, [f"return cq.Workplane().box(60, 50, float({asks}))"])
        assert sources["environment SECTIONS_TRIAL"] == source_state("environment SECTIONS_TRIAL", tmp_path)
    monkeypatch.setenv("SECTIONS_TRIAL", "120")
    assert changed_sources(sources, tmp_path) == ["environment SECTIONS_TRIAL"]
    assert [name for name in sources if name.startswith("environment ")] == ["environment SECTIONS_TRIAL"]


def test_a_file_that_changes_while_it_runs(tmp_path):
    """As when the builder saves it meanwhile: nothing it may be later is what was read. What a script writes itself is
    what it is at the end."""
    (tmp_path / "data.txt").write_text("before")
    save = '__import__("subprocess").run(["sh", "-c", "echo later > data.txt"], cwd=HERE)'
    sources = read_by(tmp_path, ['open(HERE / "data.txt").read()', save])
    assert sources["data.txt"] == CHANGED and "data.txt" in changed_sources(sources, tmp_path)
    sources = read_by(tmp_path, ['open(HERE / "data.txt").read()', '(HERE / "data.txt").write_text("mine")'])
    assert changed_sources(sources, tmp_path) == []


OWN = {
    "a cache put in place by a rename": [
        "try:", '    open(HERE / "c.pkl").read()', "except FileNotFoundError:",
        '    (HERE / "c.tmp").write_text("made")', '    os.replace(HERE / "c.tmp", HERE / "c.pkl")',
    ],
    "a variable it sets itself": ['os.environ["SECTIONS_TRIAL"] = "1"', 'os.environ["SECTIONS_TRIAL"]'],
    "a log it adds to": ['with open(HERE / "log.txt", "a") as log:', '    log.write("ran")'],
    "a folder for the time being": [
        'with __import__("tempfile").TemporaryDirectory() as held:', '    (Path(held) / "x.txt").write_text("x")',
        '    (Path(held) / "x.txt").read_text()', "    list(Path(held).iterdir())",
    ],
}  # fmt: skip


@pytest.mark.parametrize("what", OWN)
def test_what_a_script_makes_itself(tmp_path, monkeypatch, what):
    """It runs at every build and check: what it writes there is no change, and what is gone again is not listed."""
    monkeypatch.delenv("SECTIONS_TRIAL", raising=False)
    sources = read_by(tmp_path, OWN[what])
    for _ in range(2):
        assert changed_sources(sources, tmp_path) == []
        foreign_script("it.py:body", tmp_path, "body.script")
    assert set(sources) - {"it.py", "c.pkl", "environment SECTIONS_TRIAL"} == set()


@pytest.mark.parametrize("text", ["print 'old'\n", "x = '\0'\n"], ids=["another Python's", "a NUL"])
def test_a_file_that_is_no_python_is_only_read(tmp_path, text):
    (tmp_path / "old.py").write_text(text)
    assert "old.py" in read_by(tmp_path, ['open(HERE / "old.py").read()'])


def test_another_program(tmp_path):
    """Nobody knows what it reads: a build with it is made every time."""
    sources = read_by(tmp_path, ['__import__("subprocess").run(["true"])'])
    assert [name for name in sources if not is_followed(name)] == ["not followed: subprocess.Popen"]
    assert changed_sources(sources, tmp_path) == []


def test_a_project_in_a_virtual_environment(tmp_path, monkeypatch):
    """What lies below Python's own folder is the builder's, but for its libraries."""
    monkeypatch.setattr("sys.prefix", os.fspath(tmp_path))
    read = FilesRead()
    for place in (tmp_path / "helper.py", Path(np.__file__), Path(os.__file__)):
        read._note(os.fspath(place))
    assert list(read._files) == [os.fspath(tmp_path / "helper.py")]
