"""Numbers that know whether they are lengths, angles or plain: so that a length is never added to an angle."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from sections.settings.body import MM_PER

# mm or deg for one of each unit that a dimension may have; a plain number has none.
UNITS = {**MM_PER, "deg": 1.0, "": 1.0}
_SAME = 1e-9


class UnitError(ValueError):
    """Numbers that do not go together, in words."""


@dataclass(frozen=True)
class Quantity:
    """A number. value : mm and deg in what powers it has of them. length, angle : the powers. written : whether it is a
    plain number as it stands in the file, which counts as mm, or as deg, where those are asked for."""

    value: float
    length: float = 0.0
    angle: float = 0.0
    written: bool = False

    @staticmethod
    def of(value: float, unit: str) -> Quantity:
        """Return so many of a unit of UNITS."""
        kind = {"deg": (0.0, 1.0), "": (0.0, 0.0)}.get(unit, (1.0, 0.0))
        return Quantity(value * UNITS[unit], *kind)

    @property
    def kind(self) -> str:
        """What it is, in words."""
        if not self.length and not self.angle:
            return "a plain number"
        names = {(1.0, 0.0): "a length", (2.0, 0.0): "an area", (0.0, 1.0): "an angle"}
        return names.get((self.length, self.angle), f"mm to the power {self.length:g}, deg to the power {self.angle:g}")

    def is_a(self, length: float, angle: float) -> bool:
        """Return whether it has these powers, or takes any."""
        return self.written or abs(self.length - length) + abs(self.angle - angle) < _SAME


def as_written(value: float) -> Quantity:
    """Return a plain number as written."""
    return Quantity(float(value), written=True)


def in_all(one: Quantity, two: Quantity) -> Quantity:
    """Return the sum. Raises UnitError for two kinds."""
    return _like(one, two, one.value + two.value, "added")


def subtracted(one: Quantity, two: Quantity) -> Quantity:
    """Return the difference. Raises UnitError for two kinds."""
    return _like(one, two, one.value - two.value, "subtracted")


def multiplied(one: Quantity, two: Quantity) -> Quantity:
    """Return the product. So many as written times a share are as written: `288 * wider` is a length where one is asked
    for."""
    written = (one.written or two.written) and one.is_a(0.0, 0.0) and two.is_a(0.0, 0.0)
    return Quantity(one.value * two.value, one.length + two.length, one.angle + two.angle, written)


def divided(one: Quantity, two: Quantity) -> Quantity:
    """Return the quotient. Raises ZeroDivisionError."""
    written = one.written and two.is_a(0.0, 0.0)
    return Quantity(one.value / two.value, one.length - two.length, one.angle - two.angle, written)


def divided_wholly(one: Quantity, two: Quantity) -> Quantity:
    """Return how often the second goes into the first, wholly. Raises UnitError, ZeroDivisionError."""
    times = _like(one, two, one.value // two.value, "divided wholly")
    return Quantity(times.value, written=times.written)


def remainder(one: Quantity, two: Quantity) -> Quantity:
    """Return what is left of the first. Raises UnitError, ZeroDivisionError."""
    return _like(one, two, one.value % two.value, "divided wholly")


def to_the_power(one: Quantity, two: Quantity) -> Quantity:
    """Return a power. Raises UnitError for an exponent with a unit, OverflowError, ValueError for a negative root."""
    if not two.is_a(0.0, 0.0):
        raise UnitError(f"an exponent is a plain number, not {two.kind}")
    value = one.value**two.value
    if isinstance(value, complex):
        raise ValueError("a root of a negative number")
    return Quantity(value, one.length * two.value, one.angle * two.value, one.written)


def negated(one: Quantity) -> Quantity:
    """Return it with the other sign."""
    return Quantity(-one.value, one.length, one.angle, one.written)


def _like(one: Quantity, two: Quantity, value: float, done: str) -> Quantity:
    """Return a value of the kind of two that are of one kind."""
    if not (one.written or two.written or two.is_a(one.length, one.angle)):
        raise UnitError(f"{one.kind} and {two.kind} cannot be {done}")
    kind = two if one.written else one
    return Quantity(value, kind.length, kind.angle, one.written and two.written)


def _of_angle(function: Callable[[float], float]) -> Callable[[Quantity], Quantity]:
    def made(one: Quantity) -> Quantity:
        if not one.is_a(0.0, 1.0):
            raise UnitError(f"an angle is asked for, not {one.kind}")
        return Quantity(function(math.radians(one.value)))

    return made


def _to_angle(function: Callable[..., float]) -> Callable[..., Quantity]:
    def made(*numbers: Quantity) -> Quantity:
        kinds = {(one.length, one.angle) for one in numbers if not one.written}
        if len(kinds) > 1 or (len(numbers) == 1 and not numbers[0].is_a(0.0, 0.0)):
            raise UnitError(f"{' and '.join(one.kind for one in numbers)} give no angle")
        return Quantity(math.degrees(function(*(one.value for one in numbers))), angle=1.0)

    return made


def _chosen(choose: Callable[..., float]) -> Callable[..., Quantity]:
    def made(first: Quantity, *more: Quantity) -> Quantity:
        kind = first
        for one in more:
            kind = _like(kind, one, 0.0, "compared")
        return Quantity(choose([one.value for one in (first, *more)]), kind.length, kind.angle, kind.written)

    return made


def _kept(function: Callable[[float], float]) -> Callable[[Quantity], Quantity]:
    return lambda one: Quantity(function(one.value), one.length, one.angle, one.written)


# What may be called in an expression.
FUNCTIONS: dict[str, Callable[..., Quantity]] = {
    "sqrt": lambda one: to_the_power(one, as_written(0.5)), "abs": _kept(abs), "min": _chosen(min), "max": _chosen(max),
    "hypot": _chosen(lambda values: math.hypot(*values)), "round": _kept(lambda value: float(round(value))),
    "floor": _kept(lambda value: float(math.floor(value))), "ceil": _kept(lambda value: float(math.ceil(value))),
    "sin": _of_angle(math.sin), "cos": _of_angle(math.cos), "tan": _of_angle(math.tan),
    "asin": _to_angle(math.asin), "acos": _to_angle(math.acos), "atan": _to_angle(math.atan),
    "atan2": _to_angle(math.atan2),
}  # fmt: skip
