"""The colours of an assembly's STEP file in an order of their own.

OCC writes them, at the end of the file, in the order of addresses in memory: the same lines, numbered otherwise from
run to run.
"""

from __future__ import annotations

import re

# What each colour's lines begin with; one entity; a reference to one, or a name, which may look like one.
_BEGINS = b"MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION("
_ENTITY = re.compile(rb"#(\d+) = (.*?);\r?\n", re.DOTALL)
_REFERENCE = re.compile(rb"'[^']*'|#(\d+)")
_END = b"ENDSEC;"


def colours_in_order(content: bytes) -> bytes:
    """Return a STEP file with its colours in the order of what they are on. What refers to nothing beyond them, or is
    referred to from before, does not occur: OCC numbers an entity as it writes it, after all it belongs to."""
    first = content.find(b" = " + _BEGINS)
    if first < 0:
        return content
    start = content.rfind(b"#", 0, first)
    end = content.index(_END, start)
    entities = entities_of(content[start:end])
    heads = [number for number, text in entities.items() if text.startswith(_BEGINS)]
    new: dict[int, int] = {}
    for head in sorted(heads, key=lambda number: _coloured(number, entities)):
        for number in below(head, entities):
            new.setdefault(number, min(entities) + len(new))

    lines = [b"#%d = %s;\n" % (new[number], with_numbers(entities[number], new)) for number in new]
    return content[:start] + b"".join(lines) + content[end:]


def entities_of(lines: bytes) -> dict[int, bytes]:
    """Return the entities in lines of a STEP file by their numbers, each on one line."""
    return {int(number): b" ".join(text.split()) for number, text in _ENTITY.findall(lines)}


def below(head: int, entities: dict[int, bytes]) -> list[int]:
    """Return the numbers of an entity and of all it refers to among those given, in the order they are referred to."""
    found, waiting = {}, [head]
    while waiting:
        number = waiting.pop()
        if number in entities and number not in found:
            found[number] = None
            waiting += reversed(references(entities[number]))
    return list(found)


def references(text: bytes) -> list[int]:
    """Return the numbers of the entities that an entity's text refers to, in order."""
    return [int(number) for number in _REFERENCE.findall(text) if number]


def with_numbers(text: bytes, new: dict[int, int]) -> bytes:
    """Return an entity's text with other numbers for some it refers to."""

    def renumbered(found: re.Match[bytes]) -> bytes:
        return found[0] if found[1] is None else b"#%d" % new.get(int(found[1]), int(found[1]))

    return _REFERENCE.sub(renumbered, text)


def _coloured(head: int, entities: dict[int, bytes]) -> list[int]:
    """Return what a colour is on: the numbers its lines refer to that are none of the colours' own."""
    told = (one for number in below(head, entities) for one in references(entities[number]))
    return sorted(number for number in told if number not in entities)
