"""The form the builder fills in: a file of readings with nothing read yet."""

from __future__ import annotations

import json

from sections.coupons import Coupon
from sections.settings import Settings
from sections.settings.fit_values import machines_of

FORM_NAME = "readings.toml"

_HEAD = """\
# What the test prints of "{name}" came to. Measure, fill in, then:
#
#     sections calibrate PARAMETERS.toml THIS-FILE.toml
#
# `read`: mm, a list for each print, in it every reading of that one thing: [[29.94, 29.95], [29.97]] is two readings of
# the first print and one of the second. `said`: a list for each print, an answer for every rung in the order of
# `marks`: "jams", "presses", "slides" or "loose". What was not measured stays []. Decimals with a point.

made_for = {name_text}
material = {material}
# What the files were drawn larger for. Stays as it is: it belongs to these prints.
shrink = {shrink}
"""


def form_text(settings: Settings, coupons: tuple[Coupon, ...]) -> str:
    """Return the text of a form for a set of test prints."""
    shrink = [float(value) for value in machines_of(settings)[0].shrink]
    parts = [_HEAD.format(name=settings.name, name_text=json.dumps(settings.name), shrink=shrink,
                          material=json.dumps(settings.material.name))]  # fmt: skip
    parts.append("sizes = [")
    for coupon in coupons:
        if coupon.sizes or coupon.lifts:
            parts.append(f"    # {coupon.id}: {coupon.use}")
        sizes = sorted(coupon.sizes, key=lambda size: size.kind == "hole")
        parts += [_row(id=size.id, kind=size.kind, asked=round(size.asked, 4), read=[]) for size in sizes]
        if coupon.lifts:
            parts.append(_row(id=coupon.id.removeprefix("coupon-"), kind="rise", asked=0.0, read=[]))
    parts += ["]", "", "ladders = ["]
    for coupon in coupons:
        if coupon.ladders:
            parts.append(f"    # {coupon.id}: {coupon.use}")
        for one in coupon.ladders:
            what = {"id": one.id, "kind": one.kind, "bought": one.bought}
            parts.append(_row(**what, marks=list(one.marks), fits=list(one.fits), said=[]))
    parts += ["]", "", "trials = ["]
    for coupon in coupons:
        for one in coupon.trials:
            parts.append(f"    # {coupon.id}: {one.asks}, such as said = [{one.values[len(one.values) // 2]:g}]")
            parts.append(_row(id=one.id, values=list(one.values), said=[]))
    return "\n".join([*parts, "]", ""])


def _row(**values) -> str:
    return "    { " + ", ".join(f"{key} = {json.dumps(value)}" for key, value in values.items()) + " },"
