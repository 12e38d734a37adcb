"""The table of products, and what a build does with it. A new product is a file of its own and a line here.

Those further down may use what those above made: guides are made on sections, hardware is for all that has joints.
"""

from __future__ import annotations

from dataclasses import replace

from sections.checks.finding import Finding, Found, Measure
from sections.export.manifest import FileRecord, PartRecord
from sections.plan.model import Plan
from sections.processes.pool import Pool
from sections.products.guides import GUIDES
from sections.products.hardware import HARDWARE
from sections.products.jig import JIG
from sections.products.opening_gauges import GAUGES
from sections.products.product import Drawing, MadeProduct, Making, Measuring
from sections.products.sections import SECTIONS
from sections.products.steps import STEPS
from sections.settings import Settings

PRODUCTS = (JIG, SECTIONS, HARDWARE, GAUGES, GUIDES, STEPS)


def refuse_products(settings: Settings, plan: Plan, *, whole: bool) -> None:
    """Refuse what can be seen not to do before anything is made. whole : whether all sections are made. Raises
    BadInput."""
    for product in PRODUCTS:
        if product.refuse is not None and (whole or not product.whole):
            product.refuse(settings, plan)


def makes_later(settings: Settings) -> bool:
    """Return whether a second round makes anything."""
    return any(product.later is not None and product.later(settings) for product in PRODUCTS)


def make_products(making: Making, pool: Pool, *, whole: bool, later: bool) -> dict[str, MadeProduct]:
    """Make the products of one round, and return all that were made so far, by name. whole : whether all sections are
    built. later : of the second round, once the files of the first are in place."""
    made = dict(making.made)
    for product in PRODUCTS:
        its_round = (product.later is not None and product.later(making.settings)) if later else product.later is None
        if its_round and (whole or not product.whole):
            made[product.name] = product.make(replace(making, made=made), pool)
    return made


def parts_made(made: dict[str, MadeProduct]) -> tuple[PartRecord, ...]:
    """Return all parts, sections first; of one that was made further later, as it is then."""
    parts = {part.id: part for one in made.values() for part in one.parts}
    return tuple(sorted(parts.values(), key=lambda part: part.kind != "section"))


def papers_made(made: dict[str, MadeProduct]) -> dict[str, tuple[FileRecord, ...]]:
    """Return the files that are of no one part, by product."""
    return {name: one.papers for name, one in made.items() if one.papers}


def check_products(measuring: Measuring, pool: Pool, *, whole: bool) -> Found:
    """Return what the products of an output folder give, read back and measured. whole : whether all sections are
    there."""
    findings: list[Finding] = []
    measures: list[Measure] = []
    for product in PRODUCTS:
        if product.check is not None and (whole or not product.whole):
            found, read = product.check(measuring, pool)
            findings += found
            measures += read
    return findings, measures


def draw_products(drawing: Drawing) -> tuple[str, ...]:
    """Draw the products of an output folder; return the pictures' paths."""
    return tuple(path for product in PRODUCTS if product.draw is not None for path in product.draw(drawing))
