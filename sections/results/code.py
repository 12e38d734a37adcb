"""The digest of the code that makes results: this package's sources, and the versions of the libraries it is given."""

from __future__ import annotations

import platform
from functools import lru_cache
from importlib import metadata
from pathlib import Path

from sections.results.digest import digest_of

_PACKAGE, _NAME = Path(__file__).parents[1], "body-sections"


@lru_cache(maxsize=1)
def code_digest() -> str:
    """Return the digest of all code that results come of. Any change of it makes every result kept before one of
    another code: which function calls which is not worked out."""
    sources = [
        (path.relative_to(_PACKAGE).as_posix(), path.read_bytes())
        for path in sorted(_PACKAGE.rglob("*"))
        if path.is_file() and path.suffix in (".py", ".toml", ".csv", ".json")
    ]
    return digest_of(sources, platform.python_version(), platform.machine(), _libraries())


def _libraries() -> list[tuple[str, str]]:
    """Return (name, version) of every library installed beside this package."""
    found = {(one.metadata["Name"] or "", one.version) for one in metadata.distributions()}
    return sorted(one for one in found if one[0] != _NAME)
