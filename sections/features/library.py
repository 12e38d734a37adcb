"""Reading the library that features and bodies are made with."""

from __future__ import annotations

import gc
import sys

# What was read before is kept from Python with it; these complain at the end when they are.
_OTHERS = {"cadquery", "igl", "manifold3d"}


def read_shapes_library() -> None:
    """Read the library of exact shapes first of all, and keep Python from ever looking through what it holds again.

    Each time Python collects what is no longer used, the last time as it ends, that took 1 to 2 s.
    """
    is_first = not _OTHERS & set(sys.modules)
    import cadquery  # noqa: F401  (all of it)

    if is_first:
        gc.freeze()
