"""Scripts that end, break or outstay: each is refused with its line, where it has one; none ends the run."""

import os
import re
import time

import pytest

from sections.body import load_body
from sections.errors import BadInput
from sections.settings import load_settings

HEAD = "import os, signal, sys\nimport cadquery as cq\n\n\ndef body():\n"
BOX = "    return cq.Workplane().box(300, 100, 80)\n"

SCRIPTS = {
    "leaves with success": (f"{HEAD}    sys.exit(0)\n", "SystemExit in line 6: 0"),
    "leaves as it is read": (f"import sys\nsys.exit(0)\n{HEAD}{BOX}", "SystemExit in line 2: 0"),
    "leaves without a word": (f"{HEAD}    os._exit(0)\n", "ended by itself, with exit code 0"),
    "kills itself": (f"{HEAD}    os.kill(os.getpid(), signal.SIGSEGV)\n{BOX}", "ended by the signal SIGSEGV"),
    "misses a module": (f"import no_such_module\n{HEAD}{BOX}", "No module named 'no_such_module'"),
    "is not Python": ("def body(:\n    pass\n", "SyntaxError in line 1"),
    "raises": (f"{HEAD}    return 1 / 0\n", "ZeroDivisionError in line 6: division by zero"),
    "raises with colours": (f"{HEAD}    raise ValueError('\\x1b[31mred')\n", r"ValueError in line 6: \?\[31mred"),
    "returns nothing": (f"{HEAD}    pass\n", "it returned NoneType"),
    "returns a number": (f"{HEAD}    return 3\n", "it returned int"),
    "returns no solid": (f"{HEAD}    return cq.Workplane().rect(5, 5)\n", "must be: "),
    "returns a solid that is nowhere": (
        f"{HEAD}    return cq.Workplane().box(300, 100, 80).translate((float('nan'), 0, 0))\n", "must be: "
    ),
    "wants memory": (f"{HEAD}    held = bytearray(10**12)\n{BOX}", "MemoryError"),
    "has no such function": ("def other():\n    pass\n", "a function of body.py; there is other"),
    "is empty": ("", "a function of body.py; there are none"),
}  # fmt: skip


def loaded(folder):
    (folder / "body.toml").write_text('name = "it"\n[body]\nscript = "body.py:body"\nunits = "mm"\n')
    return load_body(load_settings(folder / "body.toml"), folder)


@pytest.mark.parametrize("kind", SCRIPTS)
def test_refused(tmp_path, kind):
    text, reported = SCRIPTS[kind]
    (tmp_path / "body.py").write_text(text)
    began = time.monotonic()
    with pytest.raises(BadInput) as error:
        loaded(tmp_path)
    said = str(error.value)
    assert re.search(reported, said) and "body.py" in said and "\x1b" not in said
    assert time.monotonic() - began < 150


def test_what_lies_there_is_run(tmp_path):
    """Edited within the same second, to the same length, with the compile of the old one kept beside it: the new one is
    what is built; and what it imports from beside it is read too."""
    script = tmp_path / "body.py"
    script.write_text(HEAD + BOX)
    import py_compile

    py_compile.compile(str(script))
    stamp = script.stat()
    assert loaded(tmp_path).skin.size[0] == pytest.approx(300)
    script.write_text(HEAD + BOX.replace("300", "440"))
    os.utime(script, ns=(stamp.st_atime_ns, stamp.st_mtime_ns))
    assert loaded(tmp_path).skin.size[0] == pytest.approx(440)
    (tmp_path / "sizes.py").write_text("LENGTH = 350\n")
    script.write_text("from sizes import LENGTH\n" + HEAD + BOX.replace("300", "LENGTH"))
    assert loaded(tmp_path).skin.size[0] == pytest.approx(350)
