"""Work on a real Dask scheduler and two workers of this machine; one of them killed half way."""

import json
import os
import signal
import subprocess
import sys
import time

import pytest

from sections.errors import BadInput, BuildFailed
from sections.processes import cluster
from sections.processes.pool import Pool
from sections.results import Store
from tests.processes.slow_task import slow
from tests.shared import BRICK, CRATE, ROOT, Silent, build_quietly, command, copy_body, real_command

pytest.importorskip("distributed", reason="the optional extra `cluster` is not installed")
pytestmark = pytest.mark.xdist_group("cluster")
WORKER = ("--nthreads", "1", "--no-nanny")


class Machines:
    """A scheduler, and workers that can be added and killed."""

    def __init__(self, folder):
        self.folder, self.started = folder, []
        self.file = folder / "scheduler.json"
        self.start("scheduler", "--host", "127.0.0.1", "--port", "0", "--scheduler-file", self.file)

    def start(self, kind, *arguments):
        environment = {**os.environ, "PYTHONPATH": str(ROOT)}
        words = [sys.executable, "-m", f"distributed.cli.dask_{kind}", *map(str, arguments), "--no-dashboard"]
        quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
        self.started.append(subprocess.Popen(words, cwd=self.folder, env=environment, **quiet))
        return self.started[-1]

    def worker(self, *arguments):
        return self.start("worker", "--scheduler-file", self.file, *(arguments or WORKER))

    @property
    def address(self):
        return json.loads(self.file.read_text())["address"]

    def await_workers(self, count):
        from distributed import Client

        deadline = time.time() + 60
        # It is there before its text is.
        while not (self.file.exists() and self.file.read_text().strip().endswith("}")):
            assert time.time() < deadline
            time.sleep(0.1)
        with Client(self.address, set_as_default=False) as client:
            if count:
                client.wait_for_workers(count, timeout=60)

    def stop(self):
        for one in reversed(self.started):
            one.kill()
            one.wait()


@pytest.fixture
def machines(tmp_path_factory):
    made = Machines(tmp_path_factory.mktemp("machines"))
    yield made
    made.stop()


def test_a_worker_is_lost_half_way(machines, tmp_path):
    """Both work; of the tasks that one had in hand as it was killed the other makes what it would have."""
    first, _ = machines.worker(), machines.worker()
    machines.await_workers(2)
    store = Store(tmp_path / "results", "")
    with Pool(1, Silent(), store, None, machines.address) as pool:
        assert pool.processes == 2
        begun = pool.begin(slow, [(number, tmp_path) for number in range(12)], map(str, range(12)))
        deadline = time.time() + 30
        while not list(tmp_path.glob(f"*-{first.pid}")):
            assert time.time() < deadline
            time.sleep(0.05)
        os.kill(first.pid, signal.SIGKILL)
        assert begun.results("slow") == [number**2 for number in range(12)]
    took_part = {int(path.name.partition("-")[2]) for path in tmp_path.glob("*-*")}
    assert took_part == {one.pid for one in machines.started[1:]}


@pytest.mark.slow
@pytest.mark.parametrize("body", [BRICK, CRATE], ids=lambda body: body.name)
def test_a_build(machines, tmp_path, body):
    """What two workers build is what this process builds, to the byte; the crate has exact sections too, each attempted
    in a process beside its worker."""
    machines.worker(), machines.worker()
    machines.await_workers(2)
    copy_body(body, tmp_path)
    parameters = tmp_path / f"{body.name}.toml"
    arguments = ("build", parameters, "--anew", "--no-check", "--cluster", machines.address)
    code, _, said = command(*arguments, "--out", tmp_path / "there")
    assert code == 0, said
    build_quietly(parameters, tmp_path / "here", anew=True)
    here, there = tmp_path / "here", tmp_path / "there" / body.name
    for path in here.rglob("*"):
        if path.is_file() and path.name != ".written.json":
            assert path.read_bytes() == (there / path.relative_to(here)).read_bytes(), path


@pytest.mark.parametrize(
    ("worker", "reported"),
    [
        ((), "a scheduler with workers"),
        (("--nthreads", "2", "--no-nanny"), "--nthreads 1"),
        pytest.param(("--nthreads", "1"), "--no-nanny", marks=pytest.mark.slow),
    ],
    ids=["none", "threads", "nanny"],
)
def test_workers_that_cannot(machines, tmp_path, worker, reported):
    if worker:
        machines.worker(*worker)
    machines.await_workers(1 if worker else 0)
    with pytest.raises(BadInput, match=reported):
        Pool(1, Silent(), Store(tmp_path, ""), None, machines.address)


def test_the_scheduler_is_lost(machines, tmp_path, caplog):
    """A run ends with what it was that was lost, and is no fault of the program; the client logs nothing of its own."""
    machines.worker()
    machines.await_workers(1)
    with (
        pytest.raises(BuildFailed, match="the cluster was lost"),
        Pool(1, Silent(), None, None, machines.address) as pool,
    ):
        begun = pool.begin(slow, [(number, tmp_path) for number in range(9)], map(str, range(9)))
        machines.started[0].kill()
        begun.results("slow")
    assert caplog.text == ""


def test_no_address(tmp_path):
    """Said as the run begins, and nothing more as its process ends."""
    copy_body(BRICK, tmp_path)
    code, _, said = real_command("build", tmp_path / "brick.toml", "--cluster", "nowhere", "--out", tmp_path / "o")
    assert code == 2 and len(said.splitlines()) == 3 and "--cluster = nowhere" in said


def test_no_scheduler(monkeypatch, tmp_path):
    """Exit 2, and what to do; nothing written."""
    monkeypatch.setattr(cluster, "_PATIENCE", 1.0)
    copy_body(BRICK, tmp_path)
    code, _, said = command("build", tmp_path / "brick.toml", "--cluster", "tcp://127.0.0.1:1", "--out", tmp_path / "o")
    assert code == 2 and "--cluster" in said and "Traceback" not in said and not (tmp_path / "o").exists()
