"""What other processes have read before their first task: the server they are forked off reads it while this one reads
its own."""

from __future__ import annotations

from sections.processes.context import read_ahead
from sections.settings import Settings
from sections.settings.rules_body import STEP_ENDINGS

# Reads a builder's files and scripts by OCC.
FOREIGN = "sections.body.foreign"
_BUILD = ("sections.products.section_step", "trimesh")
_BUILD_STEP = ("sections.solids.write_step", "sections.products.exact_step", "sections.products.exact_parts")
_CHECK = ("sections.measuring.part_steps", "trimesh")
_CHECK_STEP = ("sections.measuring.step_file_step",)


def read_ahead_for(settings: Settings, *, checked: bool = True) -> None:
    """Have the server read what a build, and its checks, will need in other processes."""
    step = "step" in settings.output.formats
    modules = [*_BUILD, *(_BUILD_STEP if step else ())]
    modules += [*_CHECK, *(_CHECK_STEP if step else ())] if checked else []
    read_ahead(tuple(dict.fromkeys([FOREIGN, *modules] if _is_foreign(settings) else modules)))


def _is_foreign(settings: Settings) -> bool:
    """Return whether a STEP file or a script is named."""
    sources = [settings.body, *(one for one in (*settings.openings, *settings.keepouts) if one.kind == "solid")]
    return any(one.script is not None or one.file.lower().endswith(STEP_ENDINGS) for one in sources)
