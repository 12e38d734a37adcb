"""What is temporary goes with the run that wrote it; what a user is to send stays."""

import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from tests.shared import ROOT

PROGRAM = """
import os, subprocess, sys, tempfile
from sections.processes.fault import fault_report
from sections.processes.temporary import keep_temporary_together
keep_temporary_together()
tempfile.mkdtemp()
subprocess.run([sys.executable, "-c", "import tempfile; tempfile.mkdtemp()"], check=True)
print(len(os.listdir(tempfile.gettempdir())))
print(fault_report(ValueError("odd")))
"""


def run_of(*arguments, temporary):
    environment = {"PYTHONPATH": str(ROOT), "TMPDIR": str(temporary), "PATH": ""}
    command = [sys.executable, *arguments]
    return subprocess.run(command, env=environment, cwd=temporary, capture_output=True, text=True, check=False)


@pytest.fixture
def near_root():
    """A folder whose path is short enough for a socket in it."""
    with tempfile.TemporaryDirectory(dir="/tmp") as folder:
        yield Path(folder)


def test_all_goes_but_a_fault(near_root):
    """Of this process and of one it starts: both are there while it runs, and gone after it; the fault's file stays."""
    done = run_of("-c", PROGRAM, temporary=near_root)
    assert done.stdout.splitlines()[0] == "2", done.stderr
    (left,) = near_root.iterdir()
    assert left.name.startswith("body-sections-fault-") and str(left) in done.stdout


def test_no_room_for_it(tmp_path):
    """Nowhere to write: exit 3 and one line, no traceback."""
    program = (
        "import tempfile as t; t._candidate_tempdir_list = lambda: ['/none']; from sections.cli import main; main()"
    )
    done = run_of("-c", program, temporary=tmp_path)
    assert done.returncode == 3 and "TMPDIR" in done.stderr and "Traceback" not in done.stderr


@pytest.mark.parametrize("letters", [20, 55, 90])
def test_with_processes(tmp_path, letters):
    """Two processes, and a library's own temporary folders: nothing is left and nothing said, also where the folder for
    temporary files has a path so long that one in it, or even it, is too long for a socket."""
    program = (
        "from sections.processes.temporary import keep_temporary_together\n"
        "from sections.processes.pool import Pool\n"
        "from sections.processes.progress import Silent\n"
        "if __name__ == '__main__':\n"
        "    keep_temporary_together()\n"
        "    with Pool(2, Silent()) as pool:\n"
        "        print(pool.map('lengths', len, [('ab',)] * 5 + [('cde',)], list('abcdef')))\n"
    )
    (tmp_path / "program.py").write_text(program)
    with tempfile.TemporaryDirectory(prefix="x" * (letters - 13), dir="/tmp") as place:
        done = run_of(str(tmp_path / "program.py"), temporary=place)
        left = list(Path(place).iterdir())
    assert (done.stdout, done.stderr, left) == ("[2, 2, 2, 2, 2, 3]\n", "", [])
