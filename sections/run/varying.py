"""A body at several sets of dimensions: each built and measured, all compared with the first, one page for them all."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from sections.errors import BadInput, Problem
from sections.export.page import Page
from sections.export.stage import staged
from sections.run.comparing import PAGE_NAME, PICTURE_NAME, OneBuild, SectionCompared
from sections.settings import Given, Settings, load_settings
from sections.settings.dimensions import Variant
from sections.settings.lines import line_of
from sections.settings.table import LONGEST_NAME

VARIANTS_PAGE, VARIANTS_DATA = "variants.html", "variants.json"
# How many sections are said by name. mm; what lies no further off is one part for all: a print shows no less (common
# practice, no source).
_NAMED, _ALIKE = 12, 0.05


@dataclass(frozen=True)
class VariantJob:
    """One set of dimensions. id : of the variant, "" for the file as it stands. given : to read the file with."""

    id: str
    given: Given
    settings: Settings

    @property
    def name(self) -> str:
        """The job's name, and its output folder's."""
        return self.settings.name


@dataclass(frozen=True)
class Variation:
    """A job that was built. folder : its output folder. compared : its sections with those of the first job, empty for
    that one itself; mm and g."""

    job: VariantJob
    folder: Path
    compared: tuple[SectionCompared, ...] = ()

    @property
    def alike(self) -> set[str]:
        """The sections whose surfaces lie where the first job's do, to less than any print shows."""
        both = (one for one in self.compared if one.state in ("same", "differs"))
        return {one.id for one in both if one.off <= _ALIKE}


def variant_jobs(parameters: Path, given: Given, ids: list[str]) -> list[VariantJob]:
    """Return the file as it stands and its variants, or those asked for. ids : of them; none for all. Raises BadInput
    for a mistake in any, before anything is built."""
    settings = load_settings(parameters, given)
    known = [variant.id for variant in settings.variants]
    if not known:
        limit = "one or more: other dimensions to build the body at"
        raise BadInput([Problem(str(parameters), "variants", "", limit, "add [[variants]] with `id` and `dimensions`")])
    for name in ids:
        if name not in known:
            limit = f"one of {', '.join(known)}"
            raise BadInput([Problem("(command line)", "ID", name, limit, "correct the name")])
    jobs, problems = [VariantJob("", given, settings)], []
    for number, variant in enumerate(settings.variants, 1):
        if ids and variant.id not in ids:
            continue
        values = {name: str(value) for name, value in variant.dimensions.items()}
        name = f"{settings.name}-{variant.id}"
        if len(name) > LONGEST_NAME:
            limit = f"{LONGEST_NAME} letters at most, the job's name and a dash before it"
            problems.append(Problem(str(parameters), f"variants[{number}].id", name, limit, "shorten one of them"))
            continue
        own = replace(given, dimensions=given.dimensions | values, name=name)
        try:
            jobs.append(VariantJob(variant.id, own, load_settings(parameters, own)))
        except BadInput as error:
            problems += [_in_variant(one, parameters, number, variant) for one in error.problems]
    if problems:
        raise BadInput(problems)
    return jobs


def _in_variant(problem: Problem, parameters: Path, number: int, variant: Variant) -> Problem:
    """Return a problem that a file has at a variant's dimensions with where it stands. number : of the variant, from
    1."""
    name = problem.key.removeprefix("dimensions.").partition(".")[0]
    if name not in variant.dimensions:
        return replace(problem, key=f"variants[{number}], {variant.id}: {problem.key}")
    line = line_of(parameters, ("variants", number - 1, "dimensions", name)) or problem.line
    return replace(problem, key=f"variants[{number}].dimensions.{name}", line=line)


def dimension_words(job: VariantJob, base: Settings) -> list[str]:
    """Return what dimensions of a job differ from those of the file as it stands: a few words each, in their units."""
    said = []
    for name, one in job.settings.dimensions.items():
        was = base.dimensions[name].value
        if one.value != was:
            said.append(f"{name} {was:.6g} -> {one.value:.6g}{f' {one.unit}' if one.unit else ''}")
    return said


def write_variants(built: list[Variation], target: Path, say: Callable[[str], None]) -> None:
    """Write the page and the data of variants into `target`, and say what they come to. built : two or more, the first
    the one that the others were compared with."""
    sides = [OneBuild.read(one.folder) for one in built]
    shared = _shared(built, sides[0])
    with staged(target, "variants") as root:
        data = {
            "variants": [
                {
                    "name": one.job.name, "folder": one.folder.name, "dimensions": one.job.settings.dimension_values,
                    "counts": side.counts(),
                }
                for one, side in zip(built, sides, strict=True)
            ],
            "shared": shared,
        }  # fmt: skip
        (root / VARIANTS_DATA).write_text(json.dumps(data, indent=1) + "\n", "utf-8")
        (root / VARIANTS_PAGE).write_text(_page(built, sides, shared).html(), "utf-8")
    for one, side in zip(built, sides, strict=True):
        counts = side.counts()
        what = f"{counts['sections']} sections, {counts['mass if solid']}, findings: {counts['findings']}"
        alike = f"; {len(one.alike)} sections as in {built[0].job.name}" if one.compared else ""
        say(f"{one.job.name}: {what}{alike}")
    some = ", ".join(shared[:_NAMED]) + (f" and {len(shared) - _NAMED} more" if len(shared) > _NAMED else "")
    say(f"alike in all, within {_ALIKE:g} mm: {len(shared)} sections{f' ({some})' if shared else ''}")
    say(f"{target}: {VARIANTS_PAGE}, {VARIANTS_DATA}")


def _shared(built: list[Variation], base: OneBuild) -> list[str]:
    """Return the sections that are alike in all: one print serves each."""
    return sorted(name for name in base.sections if all(name in one.alike for one in built[1:]))


def _page(built: list[Variation], sides: list[OneBuild], shared: list[str]) -> Page:
    jobs = [one.job for one in built]
    base = jobs[0]
    page = Page(f"{base.name} and its variants")
    head = ("", *(job.name for job in jobs))
    page.heading("Dimensions")
    rows = []
    for name, one in base.settings.dimensions.items():
        values = [job.settings.dimensions[name].value for job in jobs]
        if len(set(values)) > 1:
            rows.append((f"{name}{f', {one.unit}' if one.unit else ''}", *(f"{value:.6g}" for value in values)))
    page.table(head, rows)
    page.heading("What it comes to")
    counts = [side.counts() for side in sides]
    page.table(head, [(name, *(one[name] for one in counts)) for name in counts[0]])
    page.heading("Printed once for all")
    page.paragraph(f"Alike in all within {_ALIKE:g} mm, as far as their surfaces go: {', '.join(shared) or 'none'}.")
    for one in built[1:]:
        place = f"{built[0].folder.name}-to-{one.folder.name}"
        page.heading(f"{base.name} to {one.job.name}")
        page.paragraph("; ".join(dimension_words(one.job, base.settings)))
        page.picture(f"../{place}/{PICTURE_NAME}", f"{one.job.name}, what differs from {base.name} in colour")
        page.paragraph(f"Section by section: {place}/{PAGE_NAME}")
    return page
