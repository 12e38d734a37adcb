"""What becomes of processes whose parent is stopped, at the moments that a build only meets by chance."""

import os
import signal
import subprocess
import sys
import time

import pytest

from tests.shared import ROOT

# The server reads a slow module while its first process is asked for: the one who asks does not know its number yet.
PROGRAM = """
from sections.processes.pool import Pool
from sections.processes.progress import Silent
from sections.processes.stopping import end_by_signals

if __name__ == "__main__":
    end_by_signals()
    with Pool(2, Silent()) as pool:
        print("begun", flush=True)
        pool.warm(("slow_to_read",))
        print("warm", flush=True)
        pool.map("wait", __import__("time").sleep, [(60,)] * 9, list("abcdefghi"))
"""


@pytest.mark.parametrize("number", [signal.SIGHUP, signal.SIGKILL])
@pytest.mark.parametrize("moment", ["begun", "warm"])
def test_no_process_outlives_its_parent(tmp_path, moment, number):
    (tmp_path / "program.py").write_text(PROGRAM)
    (tmp_path / "slow_to_read.py").write_text("import time; time.sleep(1.0)")
    environment = {**os.environ, "PYTHONPATH": f"{tmp_path}{os.pathsep}{ROOT}"}
    run = subprocess.Popen(
        [sys.executable, "program.py"], cwd=tmp_path, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        text=True, start_new_session=True,
    )  # fmt: skip
    while run.stdout.readline().strip() != moment:
        assert run.poll() is None
    time.sleep(0.3)
    run.send_signal(number)
    try:
        # All that it started holds its output open until it ends.
        run.communicate(timeout=30)
    except subprocess.TimeoutExpired:
        os.killpg(run.pid, signal.SIGKILL)
        run.communicate()
        pytest.fail("a process was left")
    assert run.returncode == (-number if number == signal.SIGKILL else 128 + number)
