"""What is temporary goes with the run that wrote it; what a user is to send stays."""

import subprocess
import sys

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


def test_all_goes_but_a_fault(tmp_path):
    """Of this process and of one it starts: both are there while it runs, and gone after it; the fault's file stays."""
    done = run_of("-c", PROGRAM, temporary=tmp_path)
    assert done.stdout.splitlines()[0] == "2", done.stderr
    (left,) = tmp_path.iterdir()
    assert left.name.startswith("body-sections-fault-") and str(left) in done.stdout


def test_no_room_for_it(tmp_path):
    """Nowhere to write: exit 3 and one line, no traceback."""
    program = (
        "import tempfile as t; t._candidate_tempdir_list = lambda: ['/none']; from sections.cli import main; main()"
    )
    done = run_of("-c", program, temporary=tmp_path)
    assert done.returncode == 3 and "TMPDIR" in done.stderr and "Traceback" not in done.stderr
