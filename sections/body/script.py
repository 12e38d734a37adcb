"""Running a builder's own Python callable that returns a CadQuery shape.

OCC triangulates a script's shape and the same shape read back from STEP alike but not equally, and a joint at the
limit of its room moved with it by up to 40 mm: a script's shape is taken through STEP, and both give files equal to
the byte.
"""

from __future__ import annotations

import importlib.util
import traceback
from pathlib import Path

import cadquery as cq
from OCP.TopoDS import TopoDS_Shape

from sections.errors import BadInput, Problem


def run_script(script: str, folder: Path, key: str) -> TopoDS_Shape:
    """Return the shape that "file.py:callable", relative to `folder`, returns.

    The callable takes nothing and returns a CadQuery Workplane or Shape. Raises BadInput, with the line of the
    script, when it fails or returns anything else.
    """
    name, _, callable_name = script.partition(":")
    path = folder / name
    made = _call(path, callable_name, key)
    if isinstance(made, cq.Workplane):
        made = cq.Compound.makeCompound(made.vals()) if len(made.vals()) != 1 else made.val()
    if not isinstance(made, cq.Shape):
        limit = f"{callable_name} returns a CadQuery Workplane or Shape; it returned {type(made).__name__}"
        raise BadInput([Problem(str(path), key, script, limit, "return the solid")])
    return made.wrapped


def _call(path: Path, callable_name: str, key: str):
    spec = importlib.util.spec_from_file_location(f"sections_script_{path.stem}", path)
    module = importlib.util.module_from_spec(spec)
    try:
        spec.loader.exec_module(module)
        function = getattr(module, callable_name, None)
        if not callable(function):
            limit = f"a callable in {path.name}"
            raise BadInput([Problem(str(path), key, callable_name, limit, "name a function of the script")])
        return function()
    except BadInput:
        raise
    except Exception as error:  # a script of the user's may raise anything; he is shown his own line
        frames = [f for f in traceback.extract_tb(error.__traceback__) if f.filename == str(path)]
        where = f" in line {frames[-1].lineno}" if frames else ""
        said = f"{type(error).__name__}{where}: {error}"
        raise BadInput([Problem(str(path), key, callable_name, f"a script that runs; {said}", "fix it")]) from error
