"""What is kept of earlier runs."""

from __future__ import annotations

from sections.processes.pool import Pool
from sections.results import open_store


def run_results(pool: Pool, *, empty: bool) -> int:
    """Say how many results are kept of earlier runs, and where; take them all away where asked. Returns 0."""
    store = open_store()
    count, size = store.size()
    if empty:
        store.empty()
    done = "taken away" if empty else f"of {store.most / 1e9:g} that may be"
    pool.progress.say(f"{store.folder}: {count} results of earlier runs, {size / 1e9:.2f} GB {done}")
    return 0
