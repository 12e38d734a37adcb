"""Results kept between runs: what comes of an edit is what a run with nothing kept makes, to the byte, and only what
the edit reaches is made."""

import random
import shutil
from collections import Counter
from dataclasses import dataclass

import pytest

from sections.processes.pool import Pool
from sections.results import Store, open_store
from sections.run.build import BuildOptions, build
from sections.run.checking import check_output
from sections.settings import load_settings
from tests.products.test_jig import JIG
from tests.shared import BRICK, POD, Silent

# Edits of the brick: (what stands in the file, what comes in its place).
EDITS = {
    "wall": ("[seams]", "[wall]\nthickness = 3.4\n[seams]"),
    "fit": ("[[openings]]", "[fits]\nkey = 0.25\n[[openings]]"),
    "opening": ("high = [220.0,", "high = [216.0,"),
    "seam": ("at = 120", "at = 122"),
    "body": ("box(240,", "box(241,"),
}


# Steps that made something in this process; the sections that one built.
MADE = Counter()
BUILT = set()


@dataclass(frozen=True)
class Watched(Store):
    """A store that says which steps found nothing in it."""

    def once(self, step, given, make):
        def counted():
            MADE[step] += 1
            if step == "built":
                BUILT.add(given[0].id)
            return make()

        return super().once(step, given, counted)


class Job:
    """A small body in a folder of its own, built and measured with or without the results that all tests keep."""

    def __init__(self, folder, source):
        self.folder, self.name = folder, source.name
        store = open_store()
        self.store = Watched(store.folder, store.code, store.most)
        for ending in ("py", "toml"):
            shutil.copy(source / f"{source.name}.{ending}", folder)

    def edit(self, old, new, ending="toml"):
        path = self.folder / f"{self.name}.{ending}"
        text = path.read_text()
        assert old in text
        path.write_text(text.replace(old, new))

    def run(self, out, *, kept=True):
        """Return (files by name, report) of a build and check."""
        settings = load_settings(self.folder / f"{self.name}.toml")
        pool = Pool(1, Silent(), self.store if kept else None)
        made = build(settings, self.folder, BuildOptions(self.folder / out), pool)
        report = check_output(settings, self.folder, self.folder / out, pool, made.body)
        target = self.folder / out
        files = {path.relative_to(target).as_posix(): path.read_bytes() for path in target.rglob("*") if path.is_file()}
        return files, report


@pytest.fixture
def job(tmp_path):
    return lambda source: Job(tmp_path, source)


def same(one, two):
    assert one[0] == two[0]
    assert one[1].findings == two[1].findings and one[1].measures == two[1].measures


def test_nothing_changed(job):
    """A second run makes nothing, and gives what the first did, assembly.step included."""
    pod = job(POD)
    first = pod.run("one")
    MADE.clear()
    second = pod.run("two")
    assert not MADE and first[0] == second[0]
    assert first[1].findings == second[1].findings and first[1].measures == second[1].measures


def test_a_boss_moved(job):
    """A boss of the pod moved by 6 mm: the sections that carry it and its mirror image are others, and no other. No
    wall is carved: what is made is the two, laid, built and measured, and their seams, measured."""
    pod = job(POD)
    pod.edit("[[bosses]]", '[output]\nformats = ["stl"]\n\n[[bosses]]')
    before, _ = pod.run("one")
    pod.edit("at = [100.0, 55.0, 180.0]", "at = [106.0, 55.0, 180.0]")
    MADE.clear()
    after, _ = pod.run("two")
    assert "carved" not in MADE
    assert MADE["laid"] == MADE["built"] == MADE["part-checked"] == 2
    assert MADE["pair-checked"] == 3, "a seam of either with what does not carry it, and the one both are on"
    changed = {name for name in before if name.endswith(".stl") and before[name] != after[name]}
    assert changed == {"sections/X0R.stl", "sections/X0L.stl"}


@pytest.mark.parametrize("edit", ["fit", "opening", *(pytest.param(one, marks=pytest.mark.slow) for one in EDITS)])
def test_an_edit(job, edit):
    brick = job(BRICK)
    brick.run("one")
    brick.edit(*EDITS[edit], ending="py" if edit == "body" else "toml")
    same(brick.run("two"), brick.run("three", kept=False))


@pytest.mark.slow
def test_a_boss_moved_and_made_anew(job):
    """STEP files and assembly included."""
    pod = job(POD)
    pod.run("one")
    pod.edit("at = [100.0, 55.0, 180.0]", "at = [106.0, 55.0, 180.0]")
    same(pod.run("two"), pod.run("three", kept=False))


# A jig, drill guides and a lid that opens.
MORE = f"""{JIG}
[guides]
pairs = ["x1:X0+X1"]

[[openings]]
id = "lid"
kind = "box"
low = [70.0, -15.0, 60.0]
high = [170.0, 15.0, 120.0]
panel = {{ gap = 3, seams = [] }}
rim = {{}}
"""


@pytest.mark.parametrize("edit", ["seam", pytest.param("body", marks=pytest.mark.slow)])
def test_jig_guides_and_lid(job, edit):
    """What stands on the edge of what an edit reaches: made and measured as in a run that keeps nothing."""
    brick = job(BRICK)
    brick.edit('formats = ["stl", "3mf"]\n', f'formats = ["stl"]\n{MORE}')
    # Floor to be held by at either end.
    brick.edit("low = [20.0,", "low = [65.0,")
    brick.edit("[220.0, 35", "[175.0, 35")
    brick.run("one")
    brick.edit(*EDITS[edit], ending="py" if edit == "body" else "toml")
    MADE.clear()
    files, report = brick.run("two")
    assert MADE["guide"] == 2 and MADE["jig-designed"] == 1 and MADE["checked-together"] == 2
    same((files, report), brick.run("three", kept=False))
    assert {one.name for one in report.measures} >= {"panel-gap-least", "panel-blocked", "guide-bore"}


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(40))
def test_edits_at_random(job, tmp_path, seed):
    """Five edits and undone edits one after another, 200 in all: after each the output, STEP files and assembly too,
    is what a run with nothing kept gives, and no section was made again whose print file is as it was."""
    rng, brick, done = random.Random(seed), job(BRICK), set()
    brick.store = Watched(tmp_path / "results", brick.store.code)
    brick.edit('formats = ["stl", "3mf"]', 'formats = ["stl", "step"]')
    before = brick.run("first")[0]
    for number in range(5):
        edit = rng.choice(list(EDITS))
        old, new = EDITS[edit]
        brick.edit(*((new, old) if edit in done else (old, new)), ending="py" if edit == "body" else "toml")
        done ^= {edit}
        BUILT.clear()
        kept = brick.run(f"kept{number}")
        made = {f"sections/{name}.stl" for name in BUILT}
        same(kept, brick.run(f"anew{number}", kept=False))
        assert made <= {name for name, content in kept[0].items() if before.get(name) != content}
        before = kept[0]
