"""Two builds side by side: what was asked otherwise, which sections differ and by how much, what it takes; with a
picture."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np

from sections.checks.finding import FINDINGS_NAME, report_from_json
from sections.errors import OutputRefused
from sections.export.manifest import Manifest, PartRecord, read_manifest
from sections.export.page import Page
from sections.export.stage import staged
from sections.features import JOINT_NAMES
from sections.measuring.reading import built_section, read_data, read_plan, readable
from sections.numbers.words import place_words
from sections.plan.model import Plan
from sections.processes.pool import Pool
from sections.run.changes import asked_changes, prints_of

PAGE_NAME, DATA_NAME, PICTURE_NAME = "compare.html", "compare.json", "pictures/compared.png"
_NEW, _GONE, _SAME = (0.45, 0.66, 0.42), (0.75, 0.35, 0.30), (0.80, 0.80, 0.78)
_SLIGHT, _FAR = (0.95, 0.80, 0.45), (0.85, 0.45, 0.20)
# mm; what is further off is drawn as far.
_LITTLE = 1.0


@dataclass(frozen=True)
class SectionCompared:
    """A section of two builds. state : "same", "differs", "new" or "gone". off : mm, the most its surface lies off what
    it was; at : (3,) mm, where. grams_before, grams : if solid, 0 where it is not."""

    id: str
    state: str
    off: float
    at: tuple[float, float, float] | None
    grams_before: float
    grams: float


@dataclass(frozen=True)
class OneBuild:
    """A build that is compared. out : its folder."""

    out: Path
    manifest: Manifest
    plan: Plan

    @staticmethod
    def read(out: Path) -> OneBuild:
        """Return the build in an output folder. Raises OutputRefused."""
        return OneBuild(out, read_manifest(out), read_plan(out))

    @property
    def sections(self) -> dict[str, PartRecord]:
        """What the manifest says of its sections, by id."""
        return {part.id: part for part in self.manifest.parts if part.kind == "section"}

    def counts(self) -> dict[str, str]:
        """Return what it comes to, in words, by what is counted."""
        joints = Counter(joint.joint.kind for joint in self.plan.joints)
        made = self.sections.values()
        found = self.out / FINDINGS_NAME
        report = read_data(found, report_from_json) if found.is_file() else None
        return {
            "sections": str(len(made)),
            "mass if solid": f"{sum(part.mass_g + part.foot_g for part in made) / 1000:.1f} kg",
            **{f"{kind}s": str(joints[kind]) for kind in JOINT_NAMES},
            "steps of assembly": str(len(self.plan.assembly)),
            "findings": "not measured" if report is None else str(report.to_fix),
            "notes": "" if report is None else str(len(report.findings) - report.to_fix),
        }


def compare(before: Path, after: Path, target: Path, pool: Pool) -> list[SectionCompared]:
    """Write what two output folders differ in into `target`, say it, and return every section of either, in mm and g.
    Raises OutputRefused."""
    sides = [OneBuild.read(out) for out in (before, after)]
    compared = _sections(*sides, pool)
    asked = asked_changes(sides[0].manifest.settings, sides[0].manifest.sources, sides[1].manifest)
    # Two jobs have two names.
    asked = [one for one in asked if not one.startswith("name ")]
    with staged(target, "compare") as root:
        pool.progress.start("rendering a picture", 1)
        _picture(*sides, compared, root)
        (root / DATA_NAME).write_text(json.dumps([asdict(one) for one in compared], indent=1) + "\n", "utf-8")
        (root / PAGE_NAME).write_text(_page(*sides, asked, compared).html(), "utf-8")
    for line in _lines(asked, compared, *sides):
        pool.progress.say(line)
    pool.progress.say(f"{target}: {PAGE_NAME}, {DATA_NAME}")
    return compared


def surface_off(before: Path, after: Path, name: str) -> tuple[float, tuple[float, float, float]]:
    """Return (how far, mm, the surface of a section lies off what it was in another build, at most; where): the corners
    of each, off the other's faces."""
    old, new = built_section(before, name), built_section(after, name)
    places = np.vstack([new.mesh.vertices, old.mesh.vertices])
    off = np.concatenate([old.surface.unsigned(new.mesh.vertices), new.surface.unsigned(old.mesh.vertices)])
    worst = int(off.argmax())
    return float(off[worst]), tuple(map(float, places[worst]))


def surface_off_if_read(before: Path, after: Path, name: str) -> float | None:
    """Return how far, mm, the surface of a section lies off what it was; None where what was there cannot be read."""
    try:
        return None if readable(before, name) is not None else surface_off(before, after, name)[0]
    except (OutputRefused, LookupError, StopIteration):
        # What lies there is the user's to spoil, and is about to go.
        return None


def _sections(one: OneBuild, two: OneBuild, pool: Pool) -> list[SectionCompared]:
    """Return every section of either build, as it stands to the other."""
    old, new = one.sections, two.sections
    prints, now = prints_of(one.manifest), prints_of(two.manifest)
    both = [name for name in new if name in old and prints[name] != now[name]]
    tasks = [(one.out, two.out, name) for name in both]
    off = dict(zip(both, pool.map("comparing sections", surface_off, tasks, both), strict=True))
    made = []
    for name in [*new, *(name for name in old if name not in new)]:
        state = "gone" if name not in new else "new" if name not in old else "differs" if name in off else "same"
        far, at = off.get(name, (0.0, None))
        grams = [side[name].mass_g if name in side else 0.0 for side in (old, new)]
        made.append(SectionCompared(name, state, far, at, *grams))
    return made


def _lines(asked: list[str], compared: list[SectionCompared], one: OneBuild, two: OneBuild) -> list[str]:
    lines = [f"asked otherwise: {'; '.join(asked) or 'nothing'}"]
    differ = sorted((c for c in compared if c.state == "differs"), key=lambda c: -c.off)
    for c in differ[:8]:
        lines.append(f"{c.id}: up to {c.off:.2f} mm off, at {place_words(c.at)}; {c.grams - c.grams_before:+.0f} g")
    if len(differ) > 8:
        lines.append(f"{len(differ) - 8} more that differ by up to {differ[8].off:.2f} mm")
    for state in ("new", "gone"):
        names = [c.id for c in compared if c.state == state]
        lines += [f"{state}: {', '.join(names)}"] if names else []
    lines.append(f"sections: {sum(c.state == 'same' for c in compared)} the same, {len(differ)} otherwise")
    was, now = one.counts(), two.counts()
    counts = [f"{name} {was[name]} -> {now[name]}" for name in now if was[name] != now[name]]
    return [*lines, *([", ".join(counts)] if counts else [])]


def _page(one: OneBuild, two: OneBuild, asked: list[str], compared: list[SectionCompared]) -> Page:
    page = Page(f"{one.out.name} and {two.out.name}")
    page.picture(PICTURE_NAME, f"{two.out.name}, what differs in colour")
    page.paragraph(
        f"Grey: as in {one.out.name}. Yellow: off by {_LITTLE:g} mm at most; orange: by more. Green: new. Red, seen "
        "through: gone."
    )
    page.heading("What was asked otherwise")
    page.paragraph("; ".join(asked) or "nothing")
    was, now = one.counts(), two.counts()
    page.table(("", one.out.name, two.out.name), [(name, was[name], now[name]) for name in now])
    page.heading("Sections")
    rows = [
        (c.id, c.state, f"{c.off:.2f} mm" if c.at else "", place_words(c.at) if c.at else "",
         f"{c.grams_before:.0f} g", f"{c.grams:.0f} g")
        for c in sorted(compared, key=lambda c: (c.state == "same", -c.off, c.id))
    ]  # fmt: skip
    page.table(("section", "", "most off", "at", one.out.name, two.out.name), rows)
    bought = [{item.item: item.count for item in side.manifest.bought} for side in (one, two)]
    names = sorted({*bought[0], *bought[1]})
    page.heading("What to buy")
    page.table(("", one.out.name, two.out.name), [(n, *(str(side.get(n, 0)) for side in bought)) for n in names])
    return page


def _picture(one: OneBuild, two: OneBuild, compared: list[SectionCompared], root: Path) -> None:
    from sections.pictures.album import THREE_QUARTER
    from sections.pictures.names import names_seen
    from sections.pictures.render import Item, render

    (root / "pictures").mkdir()
    there: dict[str, Item] = {}
    for c in (c for c in compared if c.state != "gone"):
        far = _SLIGHT if c.off <= _LITTLE else _FAR
        colour = {"same": _SAME, "new": _NEW, "differs": far}[c.state]
        there[c.id] = Item(built_section(two.out, c.id).mesh, colour)
    meshes = [built_section(one.out, c.id).mesh for c in compared if c.state == "gone"]
    gone = [Item(mesh, _GONE, edges=False, opacity=0.35) for mesh in meshes]
    views = {PICTURE_NAME: THREE_QUARTER}
    render([*there.values(), *gone], views, root, tags=names_seen(there, views))
