"""What the tests share: small bodies built once a worker, commands, the folder of bodies from outside."""

import contextlib
import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest
from typer.testing import CliRunner

from sections.checks.built_parts import CheckRules
from sections.cli import app
from sections.measuring.reading import (
    built_pair,
    built_section,
    keep_truth,
    loose_pieces,
    manifest_of,
    plan_of,
    truth_of,
)
from sections.pictures import render
from sections.processes.context import read_ahead
from sections.processes.pool import Pool
from sections.results import digest_of, open_store
from sections.results.scratch import Scratch
from sections.results.store import PLACE
from sections.run.ahead import FOREIGN
from sections.run.build import BuildOptions, build
from sections.run.checking import check_output
from sections.run.coupons import kept_coupons
from sections.settings import load_settings
from sections.settings.joint_line import flange_reach

POD = Path(__file__).parent / "pod"
CRATE = Path(__file__).parent / "crate"
BRICK = Path(__file__).parent / "brick"
ROOT = Path(__file__).parents[1]


@dataclass(frozen=True)
class Built:
    """A finished build for the checks to look at."""

    settings: object
    folder: Path
    out: Path
    plan: object
    manifest: object
    truth: object
    rules: object
    report: object

    def section(self, section_id):
        return built_section(self.out, section_id)

    def pair(self, pair):
        return built_pair(self.out, pair)


class Silent:
    """Progress that keeps what was said and shows nothing."""

    def __init__(self):
        self.said = []

    def start(self, step, total):
        pass

    def advance(self, item):
        pass

    def say(self, line):
        self.said.append(line)

    def close(self):
        pass


def quiet_pool():
    """Return a pool of this one process that shows nothing, and keeps results for all tests of this run."""
    return Pool(1, Silent(), open_store())


def build_quietly(parameters, out, only=None, *, anew=False):
    """Build a parameter file in this process; return (settings, output folder, body). anew : take no kept results."""
    settings = load_settings(parameters)
    made = build(settings, parameters.parent, BuildOptions(out, only), Pool(1, Silent()) if anew else quiet_pool())
    return settings, out, made.body


@pytest.fixture(scope="session", autouse=True)
def _results(tmp_path_factory):
    """Results of steps are shared by all tests of this run, whichever worker they run in, and by none of another."""
    place = tmp_path_factory.getbasetemp()
    own = place.parent if "PYTEST_XDIST_WORKER" in os.environ else place
    os.environ[PLACE] = str(own / "results")


@pytest.fixture(scope="session", autouse=True)
def _read_ahead():
    """Processes that tests start are forked off one server a worker, which has read the libraries."""
    read_ahead(
        (FOREIGN, "sections.products.exact_step", "sections.products.exact_parts", "sections.products.section_step")
    )


@pytest.fixture(scope="session", autouse=True)
def _small_pictures():
    """Pictures are drawn by the processor: a third as wide and high, they take a third of the time."""
    render.SIZE = tuple(pixels // 3 for pixels in render.SIZE)


@pytest.fixture(scope="session")
def pod(tmp_path_factory):
    """The pod built, read back and checked."""
    return _built(POD, tmp_path_factory)


@pytest.fixture(scope="session")
def crate(tmp_path_factory):
    """The crate, whose sections have exact solids, built, read back and checked."""
    return _built(CRATE, tmp_path_factory)


@pytest.fixture(scope="session")
def brick(tmp_path_factory):
    """The brick, two sections without STEP files, built, read back and checked."""
    return _built(BRICK, tmp_path_factory)


def _built(source, tmp_path_factory):
    folder = tmp_path_factory.mktemp(source.name)
    copy_body(source, folder)
    return build_from(folder / f"{source.name}.toml", tmp_path_factory)


def build_from(parameters, tmp_path_factory):
    """Return what a parameter file makes, built, read back and checked."""
    folder = parameters.parent
    settings, out, body = build_quietly(parameters, folder / "out")
    report = check_output(settings, folder, out, quiet_pool(), body)
    scratch = Scratch(tmp_path_factory.mktemp("truth"))
    keep_truth(scratch, body, settings.printer.two_beads)
    rules = CheckRules(settings, flange_reach(settings), loose_pieces(out))
    return Built(settings, folder, out, plan_of(out), manifest_of(out), truth_of(scratch.folder), rules, report)


_COUPONS = {}


def coupons_of(settings, *, proof=False):
    """Return the test prints of settings, or the seam in small, made once for all workers, read once by each. They must
    not be changed."""
    key = digest_of(settings, proof)
    if key not in _COUPONS:
        _COUPONS[key] = kept_coupons(settings, quiet_pool(), proof=proof)
    return _COUPONS[key]


@pytest.fixture
def pod_folder(tmp_path):
    """A fresh folder with the pod's parameter file and script."""
    copy_body(POD, tmp_path)
    return tmp_path


@pytest.fixture
def brick_folder(tmp_path):
    """A fresh folder with the brick's parameter file and script."""
    copy_body(BRICK, tmp_path)
    return tmp_path


def copy_body(source, folder):
    """Copy a body's parameter file and script, as of BRICK, into a folder."""
    for name in (f"{source.name}.py", f"{source.name}.toml"):
        shutil.copy(source / name, folder / name)


# Commands that spread their work over processes. Tests run beside one another already: each is given one.
_SPREADING = ("build", "check", "plan", "stackup")


def command(*arguments, cwd=None, typed=""):
    """Run a command in this process, with something typed; return (exit code, output, error output)."""
    alone = arguments[0] in _SPREADING and "--processes" not in arguments
    words = [*map(str, arguments), *(("--processes", "1") if alone else ())]
    with contextlib.chdir(cwd or Path.cwd()):
        done = CliRunner().invoke(app, words, input=typed, env={"COLUMNS": "200"})
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    return done.exit_code, done.stdout, done.stderr


def real_command(*arguments, cwd=None, timeout=600):
    """Run the real command in a process of its own; return (exit code, output, error output)."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "COLUMNS": "200"}
    done = subprocess.run(
        [sys.executable, "-m", "sections", *map(str, arguments)],
        cwd=cwd, env=environment, capture_output=True, text=True, timeout=timeout, check=False,
    )  # fmt: skip
    return done.returncode, done.stdout, done.stderr


@pytest.fixture(scope="session")
def outside():
    """The folder of bodies nobody here made; skips where it is absent."""
    place = Path(os.environ.get("SECTIONS_BODIES", ROOT.parent / "shared" / "geometry"))
    if not place.is_dir():
        pytest.skip(f"no folder of outside bodies at {place}; name one in SECTIONS_BODIES")
    return place
