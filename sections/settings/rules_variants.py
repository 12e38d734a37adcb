"""Contradictions in [[variants]]."""

from __future__ import annotations

from difflib import get_close_matches
from pathlib import Path

from sections.settings.model import Settings

# Letters of a job's name.
_LONGEST = 40


def variants_make_sense(settings: Settings, folder: Path):
    """Each variant has a name of its own, and dimensions the file has."""
    seen: set[str] = set()
    for index, variant in enumerate(settings.variants):
        key = ("variants", index)
        if variant.id in seen:
            yield (*key, "id"), repr(variant.id), "a name of its own", "rename one of the two"
        seen.add(variant.id)
        if len(f"{settings.name}-{variant.id}") > _LONGEST:
            limit = f"{_LONGEST} letters at most, the job's name and a dash before it"
            yield (*key, "id"), repr(variant.id), limit, "shorten one of them"
        for name in variant.dimensions:
            if name not in settings.dimensions:
                near = get_close_matches(name, settings.dimensions, 1)
                fix = f"did you mean `{near[0]}`?" if near else "name it in [dimensions]"
                yield (*key, "dimensions", name), "", "a dimension of the file", fix
