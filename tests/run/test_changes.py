"""What a build says of what changed since the one before it, in the user's words."""

import re

from tests.shared import command


def build(folder):
    code, _, error = command("build", folder / "brick.toml", "--out", folder / "out", "--no-check")
    assert code == 0, error
    return error


def edit(folder, old, new, name="brick.toml"):
    text = (folder / name).read_text()
    assert old in text
    (folder / name).write_text(text.replace(old, new))


def test_what_is_said(brick_folder):
    """Of the first build nothing; of the same again, that all is as before; of edits, each key with both values, the
    file that changed, and the sections that came out different, came new or went."""
    first = build(brick_folder)
    assert "as before" not in first and "changed since" not in first
    again = build(brick_folder)
    assert "sections: 2 as before" in again and "changed since" not in again
    edit(brick_folder, "[[openings]]", "[fits]\nkey = 0.25\n\n[[openings]]")
    edit(brick_folder, "low = [20.0, -35.0, -10.0]", "low = [24.0, -35.0, -10.0]")
    said = build(brick_folder)
    assert "changed since the last build: fits.key 0.2 -> 0.25; openings.floor.low [20, -35, -10] -> [24" in said
    assert re.search(r"sections: 2 came out different \(X\d by up to \S+ mm, X\d by up to \S+ mm\); 0 as before", said)
    edit(brick_folder, "box(240,", "box(242,", "brick.py")
    edit(brick_folder, '{ id = "x1", axis = "x", at = 120 }', '{ id = "x1", axis = "x", at = 120 }, '
         '{ id = "x2", axis = "x", at = 180 }')  # fmt: skip
    said = build(brick_folder)
    assert "seams.planes.x2.at none -> 180" in said and "brick.py itself" in said and "1 new (X2)" in said


def test_how_far_it_moved_and_a_spoilt_output(brick_folder):
    """The roof 6 mm higher, and so far off is a section there; of one whose file cannot be read nothing is said."""
    build(brick_folder)
    edit(brick_folder, "box(240, 120, 100,", "box(240, 120, 106,", "brick.py")
    (brick_folder / "out" / "brick" / "sections" / "X0.stl").write_bytes(b"filed")
    said = build(brick_folder)
    far = re.search(r"2 came out different \(X1 by up to ([0-9.]+) mm, X0\)", said)
    assert far and 5.99 <= float(far[1]) <= 7.5, said
