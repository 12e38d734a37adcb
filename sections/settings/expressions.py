"""Plain arithmetic written where a number is asked for: "wheelbase / 2 + 40".

Evaluated by simpleeval, which reaches no files, imports, attributes or builtins; every number in it is a Quantity, so
that none grows past a float.
"""

from __future__ import annotations

import ast
import difflib
import math
import re
from collections.abc import Mapping
from typing import Any

import simpleeval

from sections.settings.quantity import (
    FUNCTIONS,
    Quantity,
    UnitError,
    as_written,
    divided,
    divided_wholly,
    in_all,
    multiplied,
    negated,
    remainder,
    subtracted,
    to_the_power,
)

# Letters of the longest expression.
_LONGEST = 300
_OPERATORS = {
    ast.Add: in_all, ast.Sub: subtracted, ast.Mult: multiplied, ast.Div: divided, ast.FloorDiv: divided_wholly,
    ast.Mod: remainder, ast.Pow: to_the_power, ast.USub: negated, ast.UAdd: lambda one: one,
}  # fmt: skip
_WORD = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")


_PLAIN = "write plain arithmetic of numbers and dimensions"


class ExpressionError(ValueError):
    """What is wrong with an expression, and what to change."""

    def __init__(self, why: str, remedy: str = _PLAIN):
        super().__init__(why)
        self.remedy = remedy


class _Names(Mapping):
    """Dimensions by name, worked out as they are asked for."""

    def __init__(self, names: Mapping[str, Quantity]):
        self._names = names

    def __getitem__(self, name: str) -> Quantity:
        if name not in self._names:
            near = difflib.get_close_matches(name, list(self._names), 1)
            hint = f"did you mean `{near[0]}`?" if near else "name it in [dimensions]"
            raise ExpressionError(f"no dimension is called {name}", hint)
        return self._names[name]

    def __iter__(self) -> Any:
        return iter(self._names)

    def __len__(self) -> int:
        return len(self._names)


class _Arithmetic(simpleeval.SimpleEval):
    """Numbers, names, operators and calls; nothing else that Python has."""

    def __init__(self, names: Mapping[str, Quantity]):
        super().__init__(operators=_OPERATORS, functions=FUNCTIONS, names=_Names(names))
        known = (ast.Expr, ast.Name, ast.UnaryOp, ast.BinOp, ast.Call, ast.Constant)
        self.nodes = {kind: handler for kind, handler in self.nodes.items() if kind in known}
        self.nodes[ast.Constant] = self._number

    @staticmethod
    def _number(node: ast.Constant) -> Quantity:
        if isinstance(node.value, bool) or not isinstance(node.value, int | float):
            raise ExpressionError(f"{node.value!r} is no number")
        return as_written(node.value)


_FUNCTIONS = f"there are {', '.join(sorted(FUNCTIONS))}"
# What is said of the errors that an evaluation ends in, the first that fits.
_SAID = (
    (ZeroDivisionError, "a division by something", "look at what is divided by"),
    (SyntaxError, "arithmetic that can be read", _PLAIN),
    (simpleeval.InvalidExpression, "numbers, names, + - * / // % **, brackets and functions, nothing else", _PLAIN),
    (TypeError, "a function with as many values as it takes", _PLAIN),
    (OverflowError, "a number that is not past all bounds", _PLAIN),
    (RecursionError, "fewer brackets in one another", _PLAIN),
    (MemoryError, "fewer brackets in one another", _PLAIN),
)
_KNOWN_ERRORS = tuple(kind for kind, _, _ in _SAID)


def reckoned(text: str, names: Mapping[str, Quantity]) -> Quantity:
    """Return what an expression comes to. names : of dimensions. Raises ExpressionError."""
    if len(text) > _LONGEST:
        raise ExpressionError(f"an expression of {_LONGEST} letters at most, not {len(text)}")
    try:
        tree = ast.parse(text.strip(), mode="eval").body
        made = _Arithmetic(names).eval(text, previously_parsed=tree)
    except ExpressionError:
        raise
    except UnitError as error:
        raise ExpressionError(str(error), "let both sides be lengths, or both angles") from None
    except simpleeval.FunctionNotDefined as error:
        raise ExpressionError(f"no function is called {error.func_name}", _FUNCTIONS) from None
    except _KNOWN_ERRORS as error:
        raise ExpressionError(*next(said for kind, *said in _SAID if isinstance(error, kind))) from None
    except ValueError as error:
        raise ExpressionError(str(error)) from None
    if not isinstance(made, Quantity) or not math.isfinite(made.value):
        raise ExpressionError("a finite number")
    return made


def words_in(text: str) -> set[str]:
    """Return the names that stand in an expression, or in any text."""
    return set(_WORD.findall(text))
