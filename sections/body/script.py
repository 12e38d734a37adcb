"""Running a builder's own Python callable that returns a CadQuery shape.

OCC triangulates a script's shape and the same shape read back from STEP alike but not equally, and a joint at the
limit of its room moved with it by up to 40 mm: a script's shape is taken through STEP, and both give files equal to
the byte.
"""

from __future__ import annotations

import inspect
import sys
import traceback
import types
from collections.abc import Callable, Iterable, Iterator
from difflib import get_close_matches
from pathlib import Path
from typing import Any

import cadquery as cq
from OCP.TopoDS import TopoDS_Shape

from sections.errors import BadInput, Problem
from sections.numbers.words import printable


class Dimensions:
    """The dimensions of the parameter file, each by its name, in the unit it has there."""

    def __init__(self, values: dict[str, float]):
        """Take them by name."""
        self.__dict__.update(values)

    def __getattr__(self, name: str) -> float:
        """Refuse a dimension there is not, with the nearest name."""
        raise AttributeError(_no_dimension(name, self.__dict__))

    def __getitem__(self, name: str) -> float:
        """Return a dimension by its name."""
        return getattr(self, name)

    def __iter__(self) -> Iterator[str]:
        return iter(self.__dict__)


def _no_dimension(name: str, known: Iterable[str]) -> str:
    near = get_close_matches(name, known, 1)
    return f"[dimensions] has no {name}" + (f"; did you mean {near[0]}?" if near else "")


def run_script(script: str, folder: Path, key: str, dimensions: dict[str, float]) -> TopoDS_Shape:
    """Return the shape that "file.py:callable", relative to `folder`, returns.

    dimensions : values by name, each in its own unit. The callable takes nothing, all of them as one argument
    `dimensions`, or those it names, and returns a CadQuery Workplane or Shape. Changes what this process imports from:
    call it in one of its own. Raises BadInput, with the line of the script, when it fails or returns anything else.
    """
    name, _, callable_name = script.partition(":")
    path = folder / name
    made = _call(path, callable_name, key, dimensions)
    if isinstance(made, cq.Workplane):
        made = cq.Compound.makeCompound(made.vals()) if len(made.vals()) != 1 else made.val()
    if not isinstance(made, cq.Shape):
        limit = f"{callable_name} returns a CadQuery Workplane or Shape; it returned {type(made).__name__}"
        raise BadInput([Problem(str(path), key, script, limit, "return the solid")])
    return made.wrapped


def _call(path: Path, callable_name: str, key: str, dimensions: dict[str, float]):
    try:
        module = _read(path)
        function = getattr(module, callable_name, None)
        if not callable(function):
            own = [name for name, made in vars(module).items() if isinstance(made, types.FunctionType)]
            limit = f"a function of {path.name}; there {'is' if len(own) == 1 else 'are'} {', '.join(own) or 'none'}"
            raise BadInput([Problem(str(path), key, callable_name, limit, "name one of those")])
        return function(**_arguments(path, function, key, dimensions))
    except BadInput:
        raise
    except (Exception, SystemExit) as error:  # a script of the user's may raise anything; he is shown his own line
        frames = [f for f in traceback.extract_tb(error.__traceback__) if f.filename == str(path)]
        line = frames[-1].lineno if frames else getattr(error, "lineno", None)
        where = f" in line {line}" if line else ""
        said = printable(f"{type(error).__name__}{where}: {error}".splitlines()[0])
        raise BadInput([Problem(str(path), key, callable_name, f"a script that runs; {said}", "fix it")]) from error


def _arguments(path: Path, function: Callable, key: str, dimensions: dict[str, float]) -> dict[str, Any]:
    """Return what a script's function is given, by the names of its arguments. Raises BadInput for one that is no
    dimension."""
    given: dict[str, Any] = {}
    for name, asked in inspect.signature(function).parameters.items():
        if name == "dimensions" and name not in dimensions:
            given[name] = Dimensions(dimensions)
        elif name in dimensions:
            given[name] = dimensions[name]
        elif asked.default is inspect.Parameter.empty and asked.kind not in (asked.VAR_POSITIONAL, asked.VAR_KEYWORD):
            limit = f"a function whose arguments are dimensions; {_no_dimension(name, dimensions)}"
            raise BadInput([Problem(str(path), key, f"{function.__name__}({name})", limit, "name it in [dimensions]")])
    return given


def _read(path: Path) -> types.ModuleType:
    """Return the module that the file makes as it lies there now: a compile that Python kept of an older one, equal in
    size and second, is never run in its place."""
    module = types.ModuleType(f"sections_script_{path.stem}")
    module.__file__ = str(path)
    # As for a script that Python is started with: what lies beside it can be imported. Nothing is kept of it.
    sys.path.insert(0, str(path.parent.resolve()))
    sys.dont_write_bytecode = True
    sys.modules[module.__name__] = module
    exec(compile(path.read_bytes(), str(path), "exec"), module.__dict__)
    return module
