"""The digest of everything a build depends on."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path, PurePath

from sections import __version__
from sections.errors import PARAMETERS, BadInput, Problem
from sections.results import sha256_of
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
    return {name: sha256_of(folder / name) or "gone" for name in _named(settings)}


def read_digests(read: dict[str, str], folder: Path) -> dict[str, str]:
    """Return the SHA-256 of files that scripts read, given by their paths, by path from `folder`."""
    return {PurePath(os.path.relpath(path, os.path.realpath(folder))).as_posix(): sha for path, sha in read.items()}


def changed_sources(sources: dict[str, str], folder: Path) -> list[str]:
    """Return the files, of SHA-256 by path from `folder`, that are no longer what they were."""
    return [name for name, sha in sources.items() if sha256_of(folder / name) != sha]


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
