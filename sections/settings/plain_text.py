"""Reading a text file that anyone may have written: a plain file of a sane size, or refused in words."""

from __future__ import annotations

import errno
import stat
from pathlib import Path

from sections.errors import BadInput, Problem

# Bytes; parameters of the largest body so far are a hundredth of it.
_LARGEST = 1_000_000
_WHY = {
    errno.ENOENT: ("a file that exists", "check the name and the folder"),
    errno.ENOTDIR: ("a file that exists; its folder is a file", "check the name and the folder"),
    errno.EISDIR: ("a file, not a folder", "name the .toml file itself"),
    errno.EACCES: ("a file you may read", "change the file's permissions"),
    errno.EPERM: ("a file you may read", "change the file's permissions"),
    errno.ELOOP: ("a file; this link leads back to itself", "name the file itself"),
    errno.ENAMETOOLONG: ("a name a file can have; this one is too long", "correct the name"),
}


def read_plain_text(path: Path, where: Path | None = None, key: str = "(file)") -> str:
    """Return the text of a file. where, key : the file and the key that name it, where one does.

    Raises BadInput for what is no plain file, is larger than 1 MB, cannot be read, or is not UTF-8.
    """
    named = where or path
    if "\0" in str(path):
        raise _bad(named, key, repr(str(path)), "a name a file can have", "correct the name")
    try:
        found = path.stat()
        if stat.S_ISDIR(found.st_mode):
            raise IsADirectoryError(errno.EISDIR, "")
        if not stat.S_ISREG(found.st_mode):
            raise _bad(named, key, str(path), "a plain file, not a pipe or a device", "name a file")
        if found.st_size > _LARGEST:
            limit = f"at most {_LARGEST / 1e6:g} MB; it has {found.st_size / 1e6:.1f}"
            raise _bad(named, key, str(path), limit, "name the .toml file itself, or take out what is not needed")
        # No more than was looked at, though the file may grow.
        with path.open("rb") as file:
            return file.read(_LARGEST).decode("utf-8").replace("\r\n", "\n")
    except UnicodeDecodeError:
        raise _bad(path, "(file)", "", "text in UTF-8", "save the file as UTF-8 text") from None
    except OSError as error:
        limit, remedy = _WHY.get(error.errno or 0, (f"a file that can be read ({error.strerror})", "name another"))
        raise _bad(named, key, str(path), limit, remedy) from None


def is_plain_file(path: Path) -> bool:
    """Return whether there is a plain file of that name; whatever the name is."""
    try:
        return path.is_file()
    except (OSError, ValueError):
        # Too long, or no name a file can have.
        return False


def _bad(path: Path, key: str, value: str, limit: str, remedy: str) -> BadInput:
    return BadInput([Problem(str(path), key, value, limit, remedy)])
