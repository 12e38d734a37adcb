"""Results of steps, kept between runs by what went into them. It knows nothing of bodies."""

from sections.results.digest import digest_of, sha256_of
from sections.results.store import Store, open_store

__all__ = ["Store", "digest_of", "open_store", "sha256_of"]
