"""Asking for readings value by value, and keeping them in the builder's own file."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import tomlkit

from sections.calibration.model import ANSWERS, LadderRead, Readings, SizeRead
from sections.calibration.plausibility import ladder_complaints, size_complaints
from sections.calibration.readings import load_readings
from sections.export.stage import write_whole

# What answers may be shortened to.
_SHORT = {answer[0]: answer for answer in ANSWERS}
_NUMBER = re.compile(r"-?[0-9]+([.][0-9]*)?")


def ask_readings(path: Path, ask: Callable[[str], str]) -> int:
    """Ask for what a file of readings lacks, add it to the file, its comments kept, and return how many were given.

    ask : shown a question, returns what was typed; empty leaves a thing unmeasured. Raises BadInput when the file
    cannot be read; what is typed and cannot be is asked for again.
    """
    readings = load_readings(path, empty=True)
    document = tomlkit.parse(path.read_text("utf-8"))
    try:
        return _asked(readings, document, ask)
    finally:
        # What was given stays, also where the rest is broken off.
        if tomlkit.dumps(document) != path.read_text("utf-8"):
            write_whole(path, tomlkit.dumps(document))


def _asked(readings: Readings, document: tomlkit.TOMLDocument, ask: Callable[[str], str]) -> int:
    """Ask for what is lacking, set it in the document, and return how many things were given."""
    given = 0
    for number, size in enumerate(readings.sizes):
        if not size.read:
            read = _numbers(size, ask)
            given += _keep(document["sizes"][number], "read", read)
    for number, ladder in enumerate(readings.ladders):
        if not ladder.said:
            said = _answers(ladder, ask)
            given += _keep(document["ladders"][number], "said", said)
    for number, trial in enumerate(readings.trials):
        if not trial.said:
            values = ", ".join(f"{value:g}" for value in trial.values)
            good = _choice(f"{trial.id}: the last good one of {values}", trial.values, ask)
            given += _keep(document["trials"][number], "said", [good] if good is not None else None)
    return given


def _keep(table, key: str, value: list | None) -> int:
    if value is None:
        return 0
    table[key] = value
    return 1


def _numbers(size: SizeRead, ask: Callable[[str], str]) -> list[list[float]] | None:
    """Return readings of one thing, prints parted by "/", None for none."""
    hint = "mm; several by blanks, prints by /, empty for none"
    what = question = f"{size.id}, drawn {size.asked:g} mm"
    while text := ask(f"{question} ({hint})").strip():
        words = [[word.replace(",", ".") for word in print_.split()] for print_ in text.split("/")]
        if not all(_NUMBER.fullmatch(word) for print_ in words for word in print_):
            question = f"{what}: {text!r} is no number"
            continue
        read = [[float(word) for word in print_] for print_ in words]
        wrong = list(size_complaints((), size.model_copy(update={"read": read})))
        if not wrong:
            return read
        question = f"{what}: {wrong[0][1]} will not do, {wrong[0][2]}"
    return None


def _answers(ladder: LadderRead, ask: Callable[[str], str]) -> list[list[str]] | None:
    """Return the answers for a ladder's rungs, prints parted by "/", None for none."""
    marks = f"{len(ladder.marks)} answers for {' '.join(ladder.marks)}"
    hint = f"{marks}: j jams, p presses, s slides, l loose; prints by /; empty: none"
    question = ladder.id
    while text := ask(f"{question} ({hint})").strip():
        prints = [re.findall(r"[a-z]+", print_.lower()) for print_ in text.split("/")]
        said = [[_SHORT.get(word[0], "") for word in print_] for print_ in prints]
        if all("" not in one for one in said):
            wrong = list(ladder_complaints((), ladder.model_copy(update={"said": said})))
            if not wrong:
                return said
            question = f"{ladder.id}: {wrong[0][1]} will not do, {wrong[0][2]}"
        else:
            question = f"{ladder.id}: {text!r} will not do"
    return None


def _choice(what: str, values: list[float], ask: Callable[[str], str]) -> float | None:
    question = f"{what} (empty for none)"
    while text := ask(question).strip():
        chosen = [value for value in values if text == f"{value:g}"]
        if chosen:
            return chosen[0]
        question = f"{what}: {text!r} is none of them (empty for none)"
    return None
