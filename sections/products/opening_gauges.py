"""Printed gauges for rebates and panel gaps."""

from __future__ import annotations

from sections.coupons.gauges import gauges
from sections.processes.pool import Pool
from sections.products.exact_parts import ExactPart, write_exact
from sections.products.product import MadeProduct, Making, Product


def _make(making: Making, pool: Pool) -> MadeProduct:
    parts = []
    for gauge in gauges(making.settings):
        parts.append(write_exact(making.settings, ExactPart(gauge.id, "gauge", "gauges", gauge.solid), making.root)[0])
        pool.progress.say(f"{gauge.id}: {gauge.use}")
    return MadeProduct(tuple(parts))


GAUGES = Product("gauges", _make)
