"""Parameter files that nobody means well with: each is refused in words, at once, with exit code 2 and nothing written.

The ways are our own; the numbers are far past what any body needs.
"""

import os
import time

import pytest

from sections.errors import BadInput
from sections.settings import load_settings
from tests.shared import POD, command

GOOD = (POD / "pod.toml").read_text()


def seams(count):
    planes = ",\n".join(f'{{ id = "x{n}", axis = "x", at = {n}.5 }}' for n in range(1, count + 1))
    return f'name = "many"\n[body]\nfile = "pod.py"\nunits = "mm"\n[seams]\nplanes = [\n{planes}\n]\n'


TEXTS = {
    "nested lists": ("a = " + "[" * 500 + "]" * 500, "at most 24 deep"),
    "nested tables": ("[" + ".".join(["a"] * 500) + "]\nb = 1\n", "at most 24 deep"),
    "nested without end": ("a = " + "[" * 100_000, "TOML|deep"),
    "a number of 5,000 digits": (f"{GOOD}\n[wall]\nthickness = {'9' * 5000}\n", "numbers that can be read"),
    "a number of 400 digits": (f"{GOOD}\n[wall]\nthickness = {'9' * 400}\n", "a number of at most 1e"),
    "a number no float holds": (f"{GOOD}\n[wall]\nthickness = 1e400\n", "wall.thickness"),
    "10 MB of keys": ("\n".join(f"k{n} = {n}" for n in range(800_000)), "at most 1 MB"),
    "60,000 keys": ("\n".join(f"k{n}=1" for n in range(60_000)), "at most 50000 keys"),
    "thousands of seams": (seams(3000), "at most 400"),
    "a name that moves the cursor": (GOOD.replace("pod", "p\\u001b[2Jod"), "control characters"),
    "a key that moves the cursor": (f'{GOOD}\n["wa\\u001b]0;x\\u0007ll"]\nthickness = 1\n', "control characters"),
    "a name turned about": (GOOD.replace("pod", "p\\u202eod"), "control characters"),
    "a zero byte in a file's name": (f'{GOOD}\nextends = "a\\u0000b"\n', "TOML|control|name a file can have"),
    "not UTF-8": (b"name = \"\xff\xfe\"", "UTF-8"),
    "a script without .py": (GOOD.replace("pod.py:", "pod:"), '"file.py:callable"'),
    "a file's name of 300 letters": (
        f'name = "long"\n[body]\nfile = "{"a" * 300}.stl"\nunits = "mm"\n', "a file that exists"
    ),
}  # fmt: skip


@pytest.mark.parametrize("kind", TEXTS)
def test_text(tmp_path, kind):
    import re

    text, reported = TEXTS[kind]
    path = tmp_path / "bad.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    began = time.monotonic()
    code, said, error = command("build", path, "--out", tmp_path / "out")
    assert code == 2, said + error
    assert re.search(reported, error) and "fix:" in error and "Traceback" not in error
    assert not any(ord(letter) < 32 and letter not in "\n\t" for letter in said + error)
    assert time.monotonic() - began < 100 and not (tmp_path / "out").exists()


def extending(folder, name):
    (folder / "top.toml").write_text(f'extends = "{name}"\nname = "top"\n')
    return folder / "top.toml"


@pytest.mark.parametrize(
    ("name", "reported"),
    [
        ("pipe", "not a pipe or a device"),
        ("/dev/zero", "not a pipe or a device"),
        ("/dev/stdin", "a pipe or a device|a file"),
        ("plain.toml/below.toml", "its folder is a file"),
        ("loop.toml", "leads back to itself"),
        ("a" * 300 + ".toml", "too long"),
        ("folder", "not a folder"),
        ("none.toml", "a file that exists"),
    ],
)
def test_what_is_extended(tmp_path, name, reported):
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "folder").mkdir()
    (tmp_path / "plain.toml").write_text("")
    (tmp_path / "loop.toml").symlink_to("other.toml")
    (tmp_path / "other.toml").symlink_to("loop.toml")
    with pytest.raises(BadInput, match=reported) as error:
        load_settings(extending(tmp_path, name))
    assert error.value.problems[0].key == "extends"


def test_a_chain(tmp_path):
    for number in range(1200):
        (tmp_path / f"c{number}.toml").write_text(f'extends = "c{number + 1}.toml"\n')
    (tmp_path / "c1200.toml").write_text(GOOD)
    with pytest.raises(BadInput, match="at most 16 files that extend one another in turn"):
        load_settings(tmp_path / "c0.toml")


def test_a_fan_that_doubles(tmp_path):
    """Twelve files, each extending the next twice: 4,096 readings of the last."""
    for number in range(12):
        (tmp_path / f"f{number}.toml").write_text(f'extends = ["f{number + 1}.toml", "f{number + 1}.toml"]\n')
    (tmp_path / "f12.toml").write_text("")
    began = time.monotonic()
    with pytest.raises(BadInput, match="at most 64 files"):
        load_settings(tmp_path / "f0.toml")
    assert time.monotonic() - began < 100


def test_a_link_and_a_chain_that_are_meant(tmp_path):
    """A link to a plain file, and four files in turn, are read."""
    for name in ("pod.toml", "pod.py"):
        (tmp_path / name).write_text((POD / name).read_text())
    (tmp_path / "link.toml").symlink_to("pod.toml")
    (tmp_path / "a.toml").write_text('extends = "link.toml"\n')
    (tmp_path / "b.toml").write_text('extends = "a.toml"\n')
    (tmp_path / "c.toml").write_text('extends = ["b.toml"]\n[wall]\nthickness = 4.5\n')
    assert load_settings(tmp_path / "c.toml").wall.thickness == 4.5
