"""Full-size vehicle bodies as printable, mating, measured sections.

From Python: `read`, `build`, `opened` and `joint_solids` of `sections.interface`, which are read when first asked for.
"""

from typing import Any

__version__ = "0.1.0"
_INTERFACE = ("read", "build", "opened", "joint_solids")


def __getattr__(name: str) -> Any:
    if name in _INTERFACE:
        from sections import interface

        return getattr(interface, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
