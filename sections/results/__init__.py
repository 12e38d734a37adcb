"""Results of steps, kept between runs by what went into them. It knows nothing of bodies."""

from sections.results.code import code_digest
from sections.results.digest import digest_of, sha256_of
from sections.results.sources import is_followed, seen_from, source_state
from sections.results.store import Store, open_store

__all__ = ["Store", "code_digest", "digest_of", "is_followed", "open_store", "seen_from", "sha256_of", "source_state"]
