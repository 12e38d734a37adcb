"""The colours of an assembly's STEP file in an order of their own.

OCC writes them, at the end of the file, in the order of addresses in memory: the same lines, numbered otherwise from
run to run.
"""

from __future__ import annotations

import re

# What each colour's lines begin with; one entity; a reference to one.
_BEGINS = b"MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION("
_ENTITY = re.compile(rb"#(\d+) = (.*?);\r?\n", re.DOTALL)
_REFERENCE = re.compile(rb"#(\d+)")
_END = b"ENDSEC;"


def colours_in_order(content: bytes) -> bytes:
    """Return a STEP file with its colours in the order of what they are on. What refers to nothing beyond them, or is
    referred to from before, does not occur: OCC numbers an entity as it writes it, after all it belongs to."""
    first = content.find(b" = " + _BEGINS)
    if first < 0:
        return content
    start = content.rfind(b"#", 0, first)
    end = content.index(_END, start)
    entities = {int(number): b" ".join(text.split()) for number, text in _ENTITY.findall(content[start:end])}
    heads = [number for number, text in entities.items() if text.startswith(_BEGINS)]
    new: dict[int, int] = {}
    for head in sorted(heads, key=lambda number: _coloured(number, entities)):
        for number in _below(head, entities):
            new.setdefault(number, min(entities) + len(new))

    def renumbered(found: re.Match[bytes]) -> bytes:
        number = int(found[1])
        return b"#%d" % new.get(number, number)

    lines = [b"#%d = %s;\n" % (new[number], _REFERENCE.sub(renumbered, entities[number])) for number in new]
    return content[:start] + b"".join(lines) + content[end:]


def _below(head: int, entities: dict[int, bytes]) -> list[int]:
    """Return an entity and all it refers to among those given, in the order they are referred to."""
    found, waiting = [], [head]
    while waiting:
        number = waiting.pop()
        if number in entities and number not in found:
            found.append(number)
            waiting += reversed([int(one) for one in _REFERENCE.findall(entities[number])])
    return found


def _coloured(head: int, entities: dict[int, bytes]) -> list[int]:
    """Return what a colour is on: the numbers its lines refer to that are none of the colours' own."""
    told = (int(one) for number in _below(head, entities) for one in _REFERENCE.findall(entities[number]))
    return sorted(number for number in told if number not in entities)
