"""STEP files spoilt in fourteen ways, at random: each is refused in words, or is the body it was; no other end.

The ways are our own. The syntax as in ISO 10303-21 (from memory): `#number = NAME(...);` between DATA; and ENDSEC;.
"""

import random
import re
import time

import cadquery as cq
import pytest

from sections.body import load_body
from sections.errors import BadInput
from sections.settings import load_settings

BATCH = 28
NUMBER = re.compile(r"(?<![#\w'])-?\d+\.\d*(?:E[+-]?\d+)?")


def shuffled(lines, rng):
    rng.shuffle(lines)


def dropped(lines, rng, part=0.01):
    lines[:] = [line for line in lines if rng.random() > part]


def many_dropped(lines, rng):
    dropped(lines, rng, 0.15)


def doubled(lines, rng):
    lines += [rng.choice(lines) for _ in range(20)]


def self_referring(lines, rng):
    for _ in range(5):
        at = rng.randrange(len(lines))
        name = re.match(r"#(\d+)", lines[at].strip())
        if name:
            lines[at] = re.sub(r"\(#\d+", f"(#{name[1]}", lines[at])


def other_references(lines, rng):
    names = [name for line in lines for name in re.findall(r"^#(\d+) ?=", line)]
    for _ in range(15):
        at = rng.randrange(len(lines))
        lines[at] = re.sub(
            r"(?<=[(,])#\d+", lambda m: f"#{rng.choice(names)}" if rng.random() < 0.5 else m[0], lines[at]
        )


def huge_names(lines, rng):
    at = rng.randrange(len(lines))
    lines[at] = lines[at].replace("#", "#9999999999999")


def no_numbers(lines, rng):
    others = ["0.", "1.E300", "-1.E300", "1.E-300", "NaN", "INF", "1.E999", "-7."]
    for _ in range(10):
        at = rng.randrange(len(lines))
        lines[at] = NUMBER.sub(lambda m: rng.choice(others), lines[at])


def scaled(lines, rng):
    for _ in range(10):
        at = rng.randrange(len(lines))
        lines[at] = NUMBER.sub(lambda m: str(float(m[0]) * rng.uniform(-3, 3)), lines[at])


def turned(lines, rng):
    for _ in range(8):
        at = rng.randrange(len(lines))
        one, other = rng.choice([(".T.", ".F."), (".F.", ".T.")])
        lines[at] = lines[at].replace(one, other)


def cut(lines, rng):
    del lines[rng.randrange(len(lines)) :]


def other_letters(lines, rng):
    for _ in range(40):
        at = rng.randrange(len(lines))
        place = rng.randrange(len(lines[at]) + 1)
        lines[at] = lines[at][:place] + chr(rng.randrange(32, 126)) + lines[at][place + 1 :]


def nested(lines, rng):
    lines.insert(0, f"#99999=GROUP('{'(' * 50_000}');\n#99998={'(' * 20_000}{')' * 20_000};")


def long(lines, rng):
    lines[:0] = [f"#{100_000 + n}=CARTESIAN_POINT('',({n}.,0.,0.));" for n in range(100_000)]


SPOILS = (
    shuffled, dropped, many_dropped, doubled, self_referring, other_references, huge_names, no_numbers, scaled, turned,
    cut, other_letters, nested, long,
)  # fmt: skip


@pytest.fixture(scope="module")
def sound(tmp_path_factory):
    """(the text of a sound file, its solid's volume)."""
    box = cq.Workplane().box(300, 120, 90).edges("|Z").fillet(20).faces(">Z").shell(-4)
    part = box.faces("<X").workplane().hole(20)
    path = tmp_path_factory.mktemp("sound") / "body.step"
    cq.exporters.export(part, str(path))
    return path.read_text(), part.val().Volume()


@pytest.mark.parametrize("batch", [pytest.param(n, marks=[] if n == 0 else pytest.mark.slow) for n in range(12)])
def test_spoilt(tmp_path, sound, batch):
    text, volume = sound
    head, rest = text.split("DATA;", 1)
    (tmp_path / "body.toml").write_text('name = "it"\n[body]\nfile = "body.step"\nunits = "mm"\n')
    settings_of = tmp_path / "body.toml"
    taken = 0
    for seed in range(BATCH * batch, BATCH * (batch + 1)):
        rng, lines = random.Random(seed), re.split(r"(?<=;)\n", rest)
        SPOILS[seed % len(SPOILS)](lines, rng)
        (tmp_path / "body.step").write_text(head + "DATA;" + "\n".join(lines))
        began = time.monotonic()
        try:
            body = load_body(load_settings(settings_of), tmp_path)
        except BadInput as error:
            assert "must be: " in str(error) and "fix: " in str(error), seed
        else:
            taken += 1
            assert body.skin.volume_mm3 == pytest.approx(volume, rel=2e-3), seed
        assert time.monotonic() - began < 120, seed
    assert 0 < taken < BATCH
