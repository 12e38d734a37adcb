"""How findings are said: by cause, sides together, the worst first, none lost from the count."""

import re

from sections.checks.finding import Finding
from sections.checks.grouped import grouped, noted


def near(part, gap, limit=10.0, text="3.2 mm from wheel front-wheel"):
    return Finding("keep-out", "fault", part, gap, limit, "mm", (1.0, 2.0, 3.0), text)


def test_one_cause_is_said_once():
    """Eighty-four sections too near one wheel: the worst three lines, left and right as one, and how many more."""
    found = [near(f"X{n}Z0{side}", 9.0 - 0.1 * n) for n in range(42) for side in "RL"]
    lines = grouped(found)
    assert len(lines) == 5 and "X41Z0R and X41Z0L" in lines[0] and "78 more" in lines[3]
    assert lines[4].startswith("    fix: ") and "move the seam" in lines[4]


def test_other_causes_come_apart_and_the_worst_first():
    found = [near("X1Z0R", 9.9), near("X2Z0R", 1.0, text="0.1 mm from wheel rear-wheel"),
             Finding("wall-thin", "fault", "X0", 3.84, 3.85, "mm", None, "thin wall by ray")]  # fmt: skip
    lines = [line for line in grouped(found) if "fix: " not in line]
    assert [re.search(r"X\d", line)[0] for line in lines] == ["X2", "X1", "X0"]


def test_what_may_explain_others_leads():
    """An opening too shallow leaves a floor that no hand gets past: twelve bolts out of reach come after it."""
    floor = Finding("across-opening", "fault", "X0", 6.5, 6.0, "mm2", (1.0, 2.0, 3.0), "material stands across it")
    bolts = [
        Finding("out-of-reach", "fault", f"x1.bolt-{n}", None, None, "", None, "no hand gets in") for n in range(12)
    ]
    lines = grouped([*bolts, floor])
    assert lines[0].startswith("across-opening") and lines[2].startswith("out-of-reach")


def test_what_fits_no_bed_is_said_before_its_foot():
    """A section with no pose has nothing to stand a foot beside: what the foot does not hold follows from that."""
    found = [
        Finding("foot", "fault", "X0", 0.0, 10.0, "mm2", (1.0, 2.0, 3.0), "it holds nothing"),
        Finding("off-bed", "fault", "X0", 344.5, 295.0, "mm", None, "no pose fits"),
    ]
    assert [line.split()[0] for line in grouped(found)] == ["off-bed", "fix:", "foot", "fix:"]


def test_what_was_not_measured_leads_and_notes_are_left_out():
    found = [near("X1", 9.0), Finding("wall-unmeasured", "unmeasured", "X2", None, None, "mm", None, "too little skin"),
             Finding("unjoined", "note", "x1:X0+X1", 8.0, None, "mm2", None, "bond them there")]  # fmt: skip
    lines = grouped(found)
    assert len(lines) == 4 and lines[0].startswith("wall-unmeasured")


def test_notes_are_said_once_a_kind():
    """The largest of each, how many more, and numbers as a workshop writes them."""
    support, why = "print it with support", "no bolt finds room"
    found = [Finding("needs-support", "note", f"X{n}", 1000.0 * n, 0.0, "mm2", None, support) for n in range(1, 38)]
    found.append(Finding("bonded", "note", "x1:X0+X1", None, None, "", None, why))
    assert noted(found) == ["note: needs-support  X37 37 000 mm2, 36 more: print it with support",
                            "note: bonded  x1:X0+X1: no bolt finds room"]  # fmt: skip
    assert noted([near("X1", 9.0)]) == [] and grouped(found) == []


def test_twice_the_same_part_is_said_twice():
    """A section too near two places of one thing: neither is taken for the other's mirror image."""
    found = [near("X1R", 9.0), near("X1R", 8.0), near("X1L", 9.0)]
    assert len(grouped(found)) == 4
