"""An assembly's STEP file whose parts are the files of those parts, as they were written before.

OCC took 16 s to turn 87 sections into text again of which each had its file. So it writes the assembly with a stand-in
for each of them, and here the part's own entities take the stand-in's place, with other numbers.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from sections.errors import BuildFailed
from sections.solids.step_order import below, entities_of, references, with_numbers

_REFERENCE = re.compile(rb"#(\d+)")
_DATA, _END = b"DATA;\n", b"ENDSEC;\nEND-ISO-10303-21;"
# What a part's file has beside its shape: product and placement first, a category last. Nothing of its shape refers to
# them. _FIRST : the first number of the shape. _TAIL : bytes, of the file's end where the category stands.
_SHAPE = re.compile(rb"ADVANCED_BREP_SHAPE_REPRESENTATION\('',\(#(\d+),(#[\d#,]+)\),#(\d+)\)")
_CATEGORY = re.compile(rb"#(\d+) = PRODUCT_RELATED_PRODUCT_CATEGORY\('part',\$,\(#7\)\);\n")
_FIRST, _TAIL = 15, 1000
_TO_PRODUCT = re.compile(rb"[(,]#(?:[1-9]|1[0-4])[,)]")
_DEFINITION, _PRODUCT = b"SHAPE_DEFINITION_REPRESENTATION(", b"PRODUCT("


@dataclass(frozen=True)
class WrittenPart:
    """The shape in a part's STEP file. text : its entities. items : the numbers of its solids. context : the number of
    the entity with its units. last : the largest number."""

    text: bytes
    items: tuple[int, ...]
    context: int
    last: int

    @staticmethod
    def of(content: bytes) -> WrittenPart | None:
        """Return what a file holds of one exact shape; None for one that holds anything else."""
        begins, starts = content.find(_DATA) + len(_DATA), content.find(b"\n#%d = " % _FIRST) + 1
        head = entities_of(content[begins:starts])
        found = _SHAPE.fullmatch(head.get(10, b""))
        ends = list(_CATEGORY.finditer(content, max(0, len(content) - _TAIL)))
        text = content[starts : ends[0].start()] if len(ends) == 1 else b""
        if found is None or sorted(head) != list(range(1, _FIRST)) or not text or _TO_PRODUCT.search(text):
            return None
        return WrittenPart(text, tuple(references(found[2])), int(found[3]), int(ends[0][1]) - 1)

    def renumbered(self, by: int) -> bytes:
        """Return its entities with `by` added to each number."""
        return _REFERENCE.sub(lambda found: _moved(found, by), self.text)


def with_parts(assembly: bytes, parts: dict[str, WrittenPart]) -> Iterator[bytes]:
    """Yield an assembly's STEP file, piece by piece, with the shapes of parts for those of some of its products.

    parts : by the names of their products, whose shapes in the assembly are stand-ins of one solid each.
    """
    begins = assembly.find(_DATA) + len(_DATA)
    entities = entities_of(assembly[begins : assembly.rfind(_END)])
    shapes = _shapes(entities)
    last, new, gone, pieces = max(entities), {}, set(), []
    for name, part in parts.items():
        place = shapes[name]
        stands = _SHAPE.fullmatch(entities[place])
        if stands is None:
            raise BuildFailed(f"assembly: the stand-in for {name} is not as the CAD kernel writes exact shapes")
        (solid,), context = references(stands[2]), int(stands[3])
        gone |= set(below(solid, entities)) | set(below(context, entities))
        new |= {solid: part.items[0] + last, context: part.context + last}
        items = b",".join(b"#%d" % (item + last) for item in part.items)
        shape = (int(stands[1]), items, part.context + last)
        entities[place] = b"ADVANCED_BREP_SHAPE_REPRESENTATION('',(#%d,%s),#%d)" % shape
        pieces.append((part, last))
        last += part.last
    yield assembly[:begins]
    kept = (number for number in entities if number not in gone)
    yield b"".join(b"#%d = %s;\n" % (number, with_numbers(entities[number], new)) for number in kept)
    for part, by in pieces:
        yield part.renumbered(by)
    yield assembly[assembly.rfind(_END) :]


def _shapes(entities: dict[int, bytes]) -> dict[str, int]:
    """Return the number of the entity that lists each product's shapes, by the product's name."""
    found = {}
    for text in entities.values():
        if text.startswith(_DEFINITION):
            defined, shape = references(text)
            texts = (entities[number] for number in below(defined, entities))
            products = [one for one in texts if one.startswith(_PRODUCT)]
            found |= {product.split(b"'")[1].decode(): shape for product in products}
    return found


def _moved(found: re.Match[bytes], by: int) -> bytes:
    """Return a number moved. "Context #1" is a name."""
    number = int(found[1])
    return found[0] if number < _FIRST else b"#%d" % (number + by)
