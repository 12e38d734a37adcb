"""Full-size vehicle bodies as printable, mating, measured sections.

From Python: what `params/PYTHON.md` lists, of `sections.interface`, which is read when it is first asked for.
"""

from typing import Any

__version__ = "0.1.0"
_INTERFACE = ("read", "planned", "build", "check", "opened", "joint_solids", "boss_solids")


def __getattr__(name: str) -> Any:
    if name in _INTERFACE:
        from sections import interface

        return getattr(interface, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
