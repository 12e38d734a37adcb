"""Readings that cannot be: out of reason, or against one another. What is merely unlikely is reported, not refused.

A wider rung that answers tighter is refused only where the two are far apart: chance turns neighbouring rungs at a
spread of 0.05 mm.
"""

from __future__ import annotations

from collections.abc import Iterator

from sections.calibration.model import ANSWERS, LadderRead, Readings, SizeRead, TrialRead
from sections.settings.layers import Key

Complaint = tuple[Key, str, str, str]

# mm, part: how far a reading may be from what was drawn. mm: how far readings of one thing may be apart; a rise.
_OFF, _OFF_PART, _APART, _RISE = 0.6, 0.02, 0.25, 12.0
# Two answers the wrong way round are no chance when so many rungs and so much apart, or so many rungs: steps of 0.05 mm
# beside a spread of 0.05 at worst.
_APART_RUNGS, _APART_RANKS, _FAR_RUNGS = 2, 2, 4


def complaints(readings: Readings, *, empty: bool) -> Iterator[Complaint]:
    """Yield (key, value, limit, what to change) for everything a file of readings says that cannot be.

    empty : whether it may have no readings yet.
    """
    for table in ("sizes", "ladders", "trials"):
        rows = getattr(readings, table)
        seen: set[str] = set()
        for number, row in enumerate(rows):
            if row.id in seen:
                yield (table, number, "id"), repr(row.id), "each id once", "take one of the two out"
            seen.add(row.id)
    for number, size in enumerate(readings.sizes):
        yield from size_complaints(("sizes", number, "read"), size)
    for number, ladder in enumerate(readings.ladders):
        yield from ladder_complaints(("ladders", number), ladder)
    for number, trial in enumerate(readings.trials):
        yield from _trial(("trials", number, "said"), trial)
    answers = [size.read for size in readings.sizes] + [one.said for one in (*readings.ladders, *readings.trials)]
    if not (empty or any(answers)):
        limit = "at least one reading or one ladder that was tried"
        yield ("sizes",), "", limit, "fill in `read` and `said`"


def size_complaints(key: Key, size: SizeRead) -> Iterator[Complaint]:
    """Yield what cannot be of what was read of one thing."""
    if size.kind != "rise" and size.asked <= 0:
        yield (*key[:-1], "asked"), f"{size.asked:g}", "more than 0", "restore the form"
        return
    for number, print_ in enumerate(size.read):
        at = (*key, number)
        if not print_:
            yield at, "[]", "at least one reading for a print", "fill it in, or take the empty [] out"
            continue
        wrong = [value for value in print_ if not _possible(size, value)]
        for value in wrong:
            yield at, f"{value:g}", _limit(size), _comma(size, print_) or "measure it again, or correct the figure"
        if not wrong and max(print_) - min(print_) > _APART:
            limit = f"readings of one thing within {_APART:g} mm of one another"
            yield at, f"{min(print_):g} and {max(print_):g}", limit, "measure it again, or correct the figure"


def _room(size: SizeRead) -> float:
    return max(_OFF, _OFF_PART * size.asked)


def _possible(size: SizeRead, value: float) -> bool:
    if size.kind == "rise":
        return 0 <= value <= _RISE
    return value > 0 and abs(value - size.asked) <= _room(size)


def _limit(size: SizeRead) -> str:
    if size.kind == "rise":
        return f"0 to {_RISE:g} mm"
    return f"{size.asked - _room(size):g} to {size.asked + _room(size):g} mm: {size.asked:g} was drawn"


def _comma(size: SizeRead, print_: list[float]) -> str | None:
    """Return what to write where 29,94 was read as two numbers, None where that is not so."""
    for whole, part in zip(print_, print_[1:], strict=False):
        if whole == int(whole) and part == int(part) and abs(whole - size.asked) <= _room(size) + 1:
            return f"a comma parts two numbers: write {int(whole)}.{int(part)}"
    return None


def ladder_complaints(key: Key, ladder: LadderRead) -> Iterator[Complaint]:
    """Yield what cannot be of one ladder."""
    if len(ladder.marks) != len(ladder.fits):
        yield (
            (*key, "fits"),
            str(len(ladder.fits)),
            f"one for each of the {len(ladder.marks)} marks",
            "restore the form",
        )
        return
    if sorted(set(ladder.fits)) != ladder.fits:
        yield (*key, "fits"), str(ladder.fits), "rising", "restore the form"
        return
    for number, said in enumerate(ladder.said):
        at = (*key, "said", number)
        if len(said) != len(ladder.marks):
            limit = f"{len(ladder.marks)} answers, one for each of {', '.join(ladder.marks)}"
            yield at, str(len(said)), limit, "answer for every rung"
            continue
        ranks = [ANSWERS.index(answer) for answer in said]
        against = [(one, two) for one, two in contrary_answers(ranks) if _no_chance(two - one, ranks[one] - ranks[two])]
        if against:
            one, two = against[0]
            value = f"{ladder.marks[one]} {said[one]}, {ladder.marks[two]} {said[two]}"
            limit = f"answers in order; a wider rung ({ladder.marks[two]}) is not tighter than {ladder.marks[one]}"
            yield at, value, limit, "try both again"


def contrary_answers(ranks: list[int]) -> list[tuple[int, int]]:
    """Return every two rungs of which the wider answered tighter. ranks : of the answers, from jams to loose."""
    rungs = range(len(ranks))
    return [(one, two) for one in rungs for two in rungs[one + 1 :] if ranks[two] < ranks[one]]


def _no_chance(rungs: int, ranks: int) -> bool:
    """Return whether answers the wrong way round are too far apart, in rungs and in what was said, to be the spread of
    prints."""
    return (rungs >= _APART_RUNGS and ranks >= _APART_RANKS) or rungs >= _FAR_RUNGS


def _trial(key: Key, trial: TrialRead) -> Iterator[Complaint]:
    for number, said in enumerate(trial.said):
        if said not in trial.values:
            values = ", ".join(f"{value:g}" for value in trial.values)
            yield (*key, number), f"{said:g}", f"one of {values}", "give the mark of the last good one"
