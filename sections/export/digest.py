"""The digest of everything a build depends on."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

from sections import __version__
from sections.errors import PARAMETERS, BadInput, Problem
from sections.results import is_followed, seen_from, source_state
from sections.settings import Settings

# Keys that change what is said of a build, not what is built.
_SAID = {"repeatability", "shrink_uncertainty", "first_layer_spread", "volumetric_flow"}
_APART = {"stackup": True, "variants": True, "printer": _SAID, "printers": {"__all__": _SAID}}


def parameters_digest(settings: Settings, folder: Path) -> str:
    """Return the SHA-256 of the settings a build depends on, the files they name and the tool's version. Paths are from
    `folder`."""
    digest = hashlib.sha256(__version__.encode())
    digest.update(settings.model_dump_json(exclude=_APART).encode())
    for name in _named(settings):
        digest.update((folder / name).read_bytes())
    return digest.hexdigest()


def source_digests(settings: Settings, folder: Path) -> dict[str, str]:
    """Return the SHA-256 of each file that the settings name, by name. Paths are from `folder`."""
    return {name: source_state(name, folder) for name in _named(settings)}


def read_digests(read: dict[str, str], folder: Path) -> dict[str, str]:
    """Return what scripts read, given by names whose paths are from the root, by names from `folder`."""
    here = os.path.abspath(folder)
    return {seen_from(name, here): state for name, state in read.items()}


def changed_sources(sources: dict[str, str], folder: Path) -> list[str]:
    """Return what something was made from, by names from `folder`, that is no longer what it was."""
    return [name for name, state in sources.items() if is_followed(name) and source_state(name, folder) != state]


def _named(settings: Settings) -> list[str]:
    """Return the files that the settings name, in order."""
    sources = [settings.body, *(o for o in (*settings.openings, *settings.keepouts) if o.kind == "solid")]
    return [source.file or source.script.partition(":")[0] for source in sources]


def refuse_changed(digest: str, settings: Settings, folder: Path) -> None:
    """Raise BadInput where a file that the settings name is no longer what the digest was taken of: what was read may
    be the one or the other."""
    if parameters_digest(settings, folder) != digest:
        limit = "files that stay as they are while they are read; one of those it names changed"
        raise BadInput([Problem(PARAMETERS, "body", "", limit, "build again once nothing writes to them")])
