"""Reading the library that features and bodies are made with."""

from __future__ import annotations

import gc


def read_shapes_library() -> None:
    """Read the library of exact shapes, and keep Python from ever looking through what it holds again.

    Each time it collects what is no longer used, the last time as it ends, that took 1 to 2 s. To be done before
    libraries are read that complain at the end of what was not collected.
    """
    import cadquery  # noqa: F401  (all of it)

    gc.freeze()
