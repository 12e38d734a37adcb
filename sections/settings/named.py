"""Names that must differ within one table of a parameter file."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator

from sections.settings.layers import Key


def named_once(
    key: Key, names: Iterable[str], *, taken: Collection[str] = (), fix: str = "rename one of the two"
) -> Iterator[tuple[Key, str, str, str]]:
    """Yield (key, value, what it must be, what to change) for each row whose id a row before it has.

    key : of the table. names : its rows' ids, in order. taken : ids that something else has.
    """
    seen = set(taken)
    for index, name in enumerate(names):
        if name in seen:
            yield (*key, index, "id"), repr(name), "a name of its own", fix
        seen.add(name)
