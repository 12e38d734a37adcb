"""Contradictions in [[variants]]."""

from __future__ import annotations

from difflib import get_close_matches
from pathlib import Path

from sections.settings.model import Settings
from sections.settings.named import named_once

# What folders of a job's other commands end in.
_TAKEN = ("plan", "skin", "health", "coupons", "proof", "calibration", "stackup", "changed", "variants")


def variants_make_sense(settings: Settings, folder: Path):
    """Each variant has a name of its own, and dimensions the file has."""
    yield from named_once(("variants",), (variant.id for variant in settings.variants))
    for index, variant in enumerate(settings.variants):
        key = ("variants", index)
        if variant.id in _TAKEN:
            yield (*key, "id"), repr(variant.id), "a name no other command gives a folder", "give it another name"
        for name in variant.dimensions:
            if name not in settings.dimensions:
                near = get_close_matches(name, settings.dimensions, 1)
                fix = f"did you mean `{near[0]}`?" if near else "name it in [dimensions]"
                yield (*key, "dimensions", name), "", "a dimension of the file", fix
