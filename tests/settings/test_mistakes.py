"""Mistakes in the parameter file, through the command: file, key, value, limit, what to change; exit code 2."""

import re

import pytest

from sections.settings import Settings
from sections.settings.problems import field_paths, problem_parts
from sections.settings.renamed import RENAMED
from tests.shared import POD, command

GOOD = (POD / "pod.toml").read_text()
LISTS = {"openings", "bosses", "hardpoints", "printers"}


def with_line(table, line):
    """Return the good file with one line added at the end of a table, or the table with it."""
    return f"{GOOD}\n[{table}]\n{line}\n"


LEFT_WINDOW = """
[[openings]]
id = "win"
kind = "box"
low = [250.0, -140.0, 60.0]
high = [330.0, -60.0, 140.0]
"""


def another(name, at, more=""):
    """Return one more hardpoint that hangs from the roof."""
    return f'[[hardpoints]]\nid = "{name}"\nat = {at}\naxis = [0, 0, -1]\nbolt = "M6"\n{more}\n'


def with_seen(seen, more=""):
    """Return the good file with one more boss, where it is seen."""
    return f'{GOOD}\n[[bosses]]\nid = "more"\ninsert = "M4"\nseen = {{ side = "right", {seen} }}\n{more}'


LAMPS = "".join(
    f'[[openings]]\nid = "{one}"\nkind = "cylinder"\nradius = 9\nlength = 30\n'
    f'seen = {{ side = "right", beside = "{other}", end = "high", by = 40, z = 90 }}\n'
    for one, other in (("lamp", "vent"), ("vent", "lamp"))
)


def with_edge(lines):
    """Return the good file with its floor edged."""
    return GOOD.replace("high = [370.0, 70.0, 30.0]\n", f"high = [370.0, 70.0, 30.0]\n{lines}\n")


def with_point(lines, allowable=None):
    """Return the good file with a hardpoint 46 mm below the pod's roof."""
    point = f'[[hardpoints]]\nid = "mount"\nat = [110.0, 50.0, 150.0]\naxis = [0, 0, -1]\n{lines}\n'
    return f"{GOOD}\n{point}" + ("" if allowable is None else f"[material]\nallowable_stress = {allowable}\n")


# (what is written, what the message must name: key, then anything else)
MISTAKES = {
    "seen nowhere": (with_seen("below = 9"), ["bosses[2].seen", "exactly one of `at` and `beside`"]),
    "seen twice": (with_seen('at = [100, 90], beside = "x1"'), ["bosses[2].seen", "exactly one of `at` and `beside`"]),
    "half a way": (with_seen('beside = "x1", by = 9, z = 90'), ["bosses[2].seen.end", "given with `beside`"]),
    "a way from nothing": (with_seen("at = [100, 90], by = 9"), ["bosses[2].seen.by = 9", "given with `beside` alone"]),
    "no level": (with_seen('beside = "x1", end = "low", by = 9'), ["bosses[2].seen", "one level, x or z"]),
    "a level along the view": (
        with_seen('beside = "x1", end = "low", by = 9, y = 90'),
        ["bosses[2].seen = y = 90", "one level, x or z, at which it is measured from the right"],
    ),
    "beside nothing": (
        with_seen('beside = "flor", end = "low", by = 9, z = 90'),
        ["bosses[2].seen.beside = 'flor'", 'did you mean "floor"'],
    ),
    "in a ring": (f"{GOOD}\n{LAMPS}", ["openings[2].seen.beside = 'vent'", "hangs on nothing that hangs on it"]),
    "unknown key": (with_line("wall", "thicknes = 4.0"), ["wall.thicknes", "a key of [wall]", "thickness"]),
    "unknown table": (f"{GOOD}\n[prnter]\nmargin = 1\n", ["prnter", "a key of this file", "printer"]),
    "a key misspelt": (GOOD.replace("low = [", "lo = [", 1), ["openings[1].lo", "did you mean `low`"]),
    "a side of a seam": (GOOD.replace("at = 205 }", 'at = 205, within = ["y1"] }'), ["within[1]", '"+x2" or "-x2"']),
    "a default is in the way": (with_line("wall", "thickness = 26"), ["flange.height = 24 (its default)", "more than"]),
    "text without quotes": (GOOD.replace('axis = "x"', "axis = x"), ["line 10", 'text stands in quotes ("mm")']),
    "table without its s": (f"{GOOD}\n[[boss]]\nid = 1\n", ["line 27: boss", "did you mean `bosses`"]),
    "unit spelt out": (GOOD.replace('"mm"', '"inch"'), ["body.units = 'inch'", 'did you mean "in"']),
    "kind misspelt": (GOOD.replace('"box"', '"bx"'), ["openings[1].kind = 'bx'", 'did you mean "box"']),
    "text for a number": (with_line("wall", 'thickness = "4 mm"'), ["wall.thickness", "arithmetic that can be read"]),
    "number for a text": (with_line("material", "name = 3"), ["material.name", "text in quotes"]),
    "true for a number": (with_line("wall", "thickness = true"), ["wall.thickness", "a number"]),
    "wall too thin": (with_line("wall", "thickness = 0.1"), ["wall.thickness", "0.1", "0.8 or more"]),
    "wall negative": (with_line("wall", "thickness = -4.0"), ["wall.thickness", "-4", "0.8 or more"]),
    "wall not a number": (with_line("wall", "thickness = nan"), ["wall.thickness", "finite"]),
    "wall infinite": (with_line("wall", "thickness = inf"), ["wall.thickness"]),
    "wall under two beads": (with_line("wall", "thickness = 0.9\n[printer]\nnozzle = 0.6"), ["wall.thickness", "1.2"]),
    "flange lower than its bolt": (with_line("flange", "height = 12.0"), ["flange.height", "12", "washer seat"]),
    "flange lower than the wall": (with_line("flange", "height = 3.0"), ["flange.height", "3", "more than wall"]),
    "pitch too fine": (with_line("bolts", "pitch = 5.0"), ["bolts.pitch", "5", "EN 1993-1-8"]),
    "pitch too wide": (with_line("bolts", "pitch = 150.0"), ["bolts.pitch", "150", "84 or less"]),
    "no such bolt": (with_line("bolts", 'size = "M7"'), ["bolts.size", "M7", "M6"]),
    "dowel too long": (with_line("dowels", "length = 14.0"), ["dowels.length", "14", "8 or less"]),
    "metal dowel of no size": (with_line("dowels", 'kind = "metal"\ndiameter = 4.5'), ["dowels.diameter", "ISO 2338"]),
    "dowel kind": (with_line("dowels", 'kind = "wood"'), ["dowels.kind", "wood", "printed"]),
    "key too high": (with_line("keys", "height = 5.5"), ["keys.height", "5.5", "4 or less"]),
    "key tapers away": (with_line("keys", "width = 2.5\ndraft = 20.0"), ["keys.draft", "20"]),
    "key wider than long": (with_line("keys", "length = 4.5"), ["keys.length", "4.5"]),
    "fit series": (with_line("fits", 'bolt = "tight"'), ["fits.bolt", "tight", "fine"]),
    "fit of no word": (with_line("fits", 'key = "slides"'), ["fits.key", "slides", "'slide'"]),
    "fit true": (with_line("fits", "dowel = true"), ["fits.dowel", "True", "0 to 2"]),
    "pair for printed pins": (with_line("fits", 'dowel = "H7/g6"'), ["fits.dowel", "H7/g6", "printed"]),
    "no such pair": (
        with_line("fits", 'dowel = "H4/g6"\n[dowels]\nkind = "metal"'), ["fits.dowel", "H4/g6", "holes D to H"]
    ),
    "words out of order": (
        with_line("printer", "fits.key = { press = 0.3, slide = 0.2 }"), ["printer.fits.key.slide", "0.2", "press, 0.3"]
    ),
    "shrinks too much": (with_line("printer", "shrink = [0.5, 0, 0]"), ["printer.shrink[1]", "0.5", "0.05 or less"]),
    "shrink in two": (with_line("printer", "shrink = [0.0, 0.0]"), ["printer.shrink", "at least 3"]),
    "colder than it is warm": (with_line("stackup", "lowest_temperature = 30"), ["lowest_temp", "20, or less"]),
    "warmer than it is cold": (with_line("stackup", "highest_temperature = 10"), ["highest_temp", "20, or more"]),
    "two limits": (with_line("stackup", 'limit = 1\ntolerance_class = "m"'), ["stackup.tolerance_class", "one of"]),
    "limit below none": (with_line("stackup", "limit = -1"), ["stackup.limit", "-1", "more than 0"]),
    "extends a number": ("extends = 3\n" + GOOD, ["extends", "a list of such names"]),
    "negative fit": (with_line("fits", "key = -0.1"), ["fits.key", "-0.1", "0 to 2"]),
    "bed too small": (with_line("printer", "bed = [20.0, 20.0, 20.0]"), ["printer.bed[1]", "20"]),
    "bed of two": (with_line("printer", "bed = [300.0, 300.0]"), ["printer.bed", "at least 3"]),
    "bed of words": (with_line("printer", 'bed = ["a", 300.0, 300.0]'), ["printer.bed[1]", "no dimension is called a"]),
    "lattice too coarse": (with_line("mesh", "pitch = 6.0"), ["mesh.pitch", "6", "5 or less"]),
    "label too low": (with_line("label", "height = 4.0"), ["label.height", "4", "6"]),
    "stroke too thin": (with_line("label", "stroke = 0.5"), ["label.stroke", "0.5", "0.8 or more"]),
    "no format": (with_line("output", "formats = []"), ["output.formats", "at least 1"]),
    "nothing to measure": (with_line("output", 'formats = ["step"]'), ["output.formats", "step", "3mf"]),
    "unknown format": (with_line("output", 'formats = ["dwg"]'), ["output.formats[1]", "dwg", "stl"]),
    "no units": (GOOD.replace('units = "mm"\n', ""), ["body.units", "given"]),
    "unit unknown": (GOOD.replace('units = "mm"', 'units = "yard"'), ["body.units", "yard", "mm"]),
    "no name": (GOOD.replace('name = "pod"\n', ""), ["name", "given"]),
    "name with a space": (GOOD.replace('name = "pod"', 'name = "my pod"'), ["name", "my pod"]),
    "no body": (GOOD.replace('script = "pod.py:body"\n', ""), ["body", "exactly one of `file` and `script`"]),
    "two bodies": (GOOD.replace("[seams]", 'file = "a.step"\n[seams]', 1).replace('[body]\n', '[body]\n', 1),
                   ["exactly one"]),
    "body file missing": (GOOD.replace('script = "pod.py:body"', 'file = "gone.step"'), ["body.file", "gone.step"]),
    "body of no known kind": (GOOD.replace('script = "pod.py:body"', 'file = "a.dxf"'), ["body.file", ".step"]),
    "no such callable": (GOOD.replace("pod.py:body", "pod.py:bodie"), ["body.script", "bodie"]),
    "script missing": (GOOD.replace("pod.py:body", "pud.py:body"), ["body.script", "pud.py"]),
    "axes mirror": (GOOD.replace('units = "mm"', 'units = "mm"\naxes = { rear = "-x" }'), ["body.axes", "mirror"]),
    "axes twice": (GOOD.replace('units = "mm"', 'units = "mm"\naxes = { rear = "y" }'), ["three different"]),
    "seam id": (GOOD.replace('id = "x1"', 'id = "front"'), ["seams.planes[1].id", "front"]),
    "seam twice": (GOOD.replace('id = "y1", axis = "y"', 'id = "x1", axis = "y"'), ["seams.planes[2].id", "x1"]),
    "seam without direction": (GOOD.replace('id = "x1", axis = "x"', 'id = "x1"'), ["seams.planes[1]", "axis"]),
    "seam without length": (GOOD.replace('axis = "x"', "normal = [0.0, 0.0, 0.0]"), ["seams.planes[1].normal"]),
    "seams too close": (GOOD.replace("at = 205 },", 'at = 205 },\n{ id = "x2", axis = "x", at = 210 },'), ["12 mm"]),
    "seam within none": (GOOD.replace("at = 205", 'at = 205, within = ["+y9"]'), ["within", "another seam: y1"]),
    "seam within itself": (GOOD.replace("at = 205", 'at = 205, within = ["+x1"]'), ["within", "another seam: y1"]),
    "seams within one another": (
        GOOD.replace("at = 205", 'at = 205, within = ["+y1"]').replace("at = 0 }", 'at = 0, within = ["-x1"] }'),
        ["planes[1].within[1]", "planes[2].within[1]", "does not itself stop at x1"]),
    "seam on the left": (GOOD.replace('axis = "y", at = 0', 'axis = "y", at = -20'), ["seams.planes[2].at", "mirror"]),
    "opening inside out": (GOOD.replace("high = [370.0", "high = [40.0"), ["openings[1]", "40"]),
    "opening kind": (GOOD.replace('kind = "box"', 'kind = "ball"'), ["openings[1]", "ball"]),
    "boss without a fastener": (GOOD.replace('insert = "M4"\n', ""), ["bosses[1]", "insert"]),
    "boss insert unknown": (GOOD.replace('insert = "M4"', 'insert = "M7"'), ["bosses[1].insert", "M7"]),
    "hardpoint without a fastener": (with_point('travel = 0'), ["hardpoints[1]", "exactly one"]),
    "hardpoint of two fasteners": (with_point('bolt = "M6"\ninsert = "M5"'), ["hardpoints[1]", "exactly one"]),
    "hardpoint bolt unknown": (with_point('bolt = "M7"'), ["hardpoints[1].bolt", "M7", "M6"]),
    "slot for an insert": (with_point('insert = "M5"\ntravel = 3\nalong = [1, 0, 0]'), ["hardpoints[1].travel", "0"]),
    "slot without a way": (with_point('bolt = "M6"\ntravel = 3'), ["hardpoints[1].along", "given"]),
    "slot along its bolt": (with_point('bolt = "M6"\ntravel = 3\nalong = [0, 0.1, 1]'), ["points[1].along", "across"]),
    "slot of no direction": (with_point('bolt = "M6"\ntravel = 3\nalong = [0, 0, 0]'), ["hardpoints[1].along", "zero"]),
    "load on what nobody knows": (with_point('bolt = "M6"\nload = 100'), ["material.allowable_stress", "given"]),
    "more than a washer bears": (with_point('bolt = "M6"\nload = 700', "8.0"), ["hardpoints[1].load", "700", "631"]),
    "more than an insert holds": (with_point('insert = "M4"\nload = 760', "8.0"), ["hardpoints[1].load", "760", "750"]),
    "hardpoint named like a boss": (with_point('bolt = "M6"').replace('"mount"', '"lamp"'), ["points[1].id", "lamp"]),
    "rim above the inner face": (with_edge("rim = { height = 3 }"), ["openings[1].rim.height", "3", "wall.thickness"]),
    "pane and panel": (with_edge("glass = { thickness = 5, bead = 3 }\npanel = {}"), ["openings[1].panel", "floor"]),
    "rim of a pane": (with_edge("glass = { thickness = 5, bead = 3 }\nrim = {}"), ["openings[1].rim", "glass.flange"]),
    "pane without a bead": (with_edge("glass = { thickness = 5 }"), ["openings[1]", "glass.bead", "given"]),
    "panel's seam unknown": (with_edge('panel = { seams = ["x7"] }'), ["openings[1].panel.seams", "x7", "x1"]),
    "seam of no panel": (
        GOOD.replace('id = "x1", axis = "x", at = 205', 'id = "x1", axis = "x", at = 205, panel = "flor"'),
        ["seams.planes[1].panel", "flor", "there is none"],
    ),
    "panel smaller than its gap": (with_edge("panel = { gap = 45 }"), ["openings[1].panel.gap", "45"]),
    "opening on one side only": (GOOD + LEFT_WINDOW, ["openings[2]", "win", "mirror = true"]),
    "pane that ends near the skin": (
        GOOD + LEFT_WINDOW.replace("-140", "-124") + "mirror = true\nglass = { thickness = 4, bead = 3, width = 14 }\n",
        ["openings[2]", "15 mm or more past the skin", "4.0"],
    ),
    "panel off the body": (
        GOOD + LEFT_WINDOW.replace("-140", "-340").replace("-60", "-260") + "mirror = true\npanel = {}\n",
        ["openings[2]", "win", "meets the body"],
    ),
    "hardpoints in the wrong places": (
        with_point('insert = "M4"').replace("110.0, 50.0, 150.0", "110.0, 71.0, 20.0").replace("-1]", "1]")
        + another("across", "[210.0, 50.0, 150.0]") + another("in-skin", "[110.0, 50.0, 197.0]")
        + another("weak", "[310.0, 50.0, 150.0]", "side_load = 90000") + "[material]\nallowable_stress = 1.0\n",
        ["mount", "clear of opening floor", "across", "from a seam", "in-skin", "below the skin", "weak", "120 mm"],
    ),
    "guides for nothing": (with_line("guides", "thickness = 6"), ["guides.pairs", "given"]),
    "jig too thin to join": (
        with_line("jig", 'make = "printed"\nthickness = 6'), ["jig.thickness", "6", "9.8 or more"]),
    "boss outside": (GOOD.replace("at = [100.0, 55.0, 180.0]", "at = [100.0, 55.0, 480.0]"), ["bosses[1]", "lamp"]),
    "extends nothing": ('extends = "none.toml"\n' + GOOD, ["extends", "none.toml"]),
    "extends itself": ('extends = "wrong.toml"\n' + GOOD, ["extends", "ring"]),
    "not TOML": (GOOD + "\n[wall\n", ["TOML", "line"]),
}  # fmt: skip


@pytest.mark.parametrize("what", MISTAKES)
def test_mistake(what, pod_folder):
    text, named = MISTAKES[what]
    path = pod_folder / "wrong.toml"
    path.write_text(text)
    code, _, said = command("build", path, "--out", pod_folder / "out", "--no-check")
    assert code == 2, said
    assert "Traceback" not in said
    for words in named:
        assert words in said, f"{words!r} not in:\n{said}"
    assert re.search(r"fix: \S", said) and "must be:" in said
    assert not (pod_folder / "out" / "pod").exists()
    assert not list((pod_folder / "out").glob(".*")) if (pod_folder / "out").exists() else True


def test_a_guide_for_no_pair(brick_folder):
    """Known once sections are joined; nothing is written."""
    path = brick_folder / "wrong.toml"
    path.write_text((brick_folder / "brick.toml").read_text() + '\n[guides]\npairs = ["x1:X0+X9"]\n')
    code, _, said = command("build", path, "--out", brick_folder / "out", "--no-check")
    assert code == 2 and all(word in said for word in ("guides.pairs[1]", "X9", "x1:X0+X1", "must be:")), said
    assert not (brick_folder / "out" / "brick").exists()


def test_all_at_once(pod_folder):
    """Nine things wrong: nine said, each with its own key; contradictions among them too."""
    path = pod_folder / "wrong.toml"
    path.write_text(
        GOOD.replace('units = "mm"\n', "")
        + "\n[wall]\nthicknes = 4\nthickness = 0.1\n[flange]\nheight = 12.0\n[dowels]\nlength = 14.0\n"
        + "[keys]\nheight = 5.5\n[bolts]\npitch = 5.0\n[printer]\nbed = [20.0, 300.0, 300.0]\nnozle = 0.4\n"
    )
    code, _, said = command("check", path)
    keys = set(re.findall(r"wrong\.toml, line \d+: (\S+)", said))
    assert code == 2
    assert {
        "body.units", "wall.thicknes", "wall.thickness", "flange.height", "dowels.length", "keys.height",
        "bolts.pitch", "printer.bed[1]", "printer.nozle",
    } <= keys  # fmt: skip


def test_items_of_a_list_keep_their_numbers(pod_folder):
    """The first of four seams is wrong: what is wrong with the third is reported of the third, and that the fourth lies
    beyond the first is no mistake of its own."""
    start = GOOD.index("planes = [")
    seams = """planes = [
    { id = "x1", axis = "w", at = 205 },
    { id = "y1", axis = "y", at = 0 },
    { id = "z1", axis = "z", at = 50, within = ["+y9"] },
    { id = "z2", axis = "z", at = 90, within = ["+x1"] },
]"""
    (pod_folder / "wrong.toml").write_text(GOOD[:start] + seams + GOOD[GOOD.index("]\n", start) + 1 :])
    code, _, said = command("build", pod_folder / "wrong.toml")
    reported = re.findall(r"wrong\.toml, line \d+: (\S+)", said)
    assert code == 2 and reported == ["seams.planes[1].axis", "seams.planes[3].within[1]"]


def test_the_file_that_set_the_key_is_named(pod_folder):
    """With `extends` the message names the file the key stands in."""
    (pod_folder / "base.toml").write_text(GOOD + "\n[wall]\nthickness = 0.1\n")
    (pod_folder / "mine.toml").write_text('extends = "base.toml"\n[bolts]\npitch = 5.0\n')
    code, _, said = command("build", pod_folder / "mine.toml")
    assert code == 2
    assert re.search(r"base\.toml, line \d+: wall\.thickness", said)
    assert re.search(r"mine\.toml, line 3: bolts\.pitch", said)


@pytest.mark.parametrize("arguments", [("build", "none.toml"), ("check", "none.toml"), ("coupon", "none.toml")])
def test_no_such_file(arguments, tmp_path):
    code, _, said = command(*arguments, cwd=tmp_path)
    assert code == 2 and "none.toml" in said and "Traceback" not in said


def test_only_an_unknown_section(pod_folder):
    code, _, said = command("build", pod_folder / "pod.toml", "--only", "X9R", "--out", pod_folder / "out")
    assert code == 2 and "X9R" in said and "--only" in said
    assert not (pod_folder / "out" / "pod-X9R").exists()


@pytest.mark.parametrize("old", RENAMED)
def test_old_keys_are_refused_with_the_new(old):
    """Every key that had another name: it is a key no more, the message names the new one, and that one is a key."""
    keys = set(field_paths(Settings))
    where = [step for name in old.split(".") for step in ((name, 0) if name in LISTS else (name,))]
    refused = {"type": "extra_forbidden", "loc": tuple(where), "input": 1.0}
    *_, remedy = problem_parts(refused, Settings, {})
    assert f"write `{RENAMED[old]}`" in remedy
    assert tuple(old.split(".")) not in keys and tuple(RENAMED[old].split(".")) in keys


def test_an_old_key_in_a_file(tmp_path):
    (tmp_path / "it.toml").write_text(f"{GOOD}\n[printer]\nwide = 0.1\n")
    code, _, said = command("build", tmp_path / "it.toml", "--out", tmp_path / "out")
    assert code == 2 and "printer.wide = 0.1" in said and "fix: renamed: write `printer.outside_oversize`" in said
