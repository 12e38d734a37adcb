"""How long finding seams takes as sections grow in number: the benchmark body on smaller and smaller beds, beside the
largest bed as the baseline, one after the other.

Run by hand: pytest -m benchmark -s tests/benchmarks/test_plans.py.
"""

import json
import re
import shutil
import time

import pytest

from tests.shared import ROOT, real_command

pytestmark = pytest.mark.benchmark

BEDS = (500, 400, 300, 220)


def test_growth_with_sections(tmp_path):
    """Whole runs of `sections plan`: reading, search, carving, joints, poses, pictures."""
    shutil.copy(ROOT / "params" / "ahmed.py", tmp_path)
    source = (ROOT / "params" / "ahmed.toml").read_text()
    source = source[: source.index("[seams]")] + source[source.index("[printer]") :]
    rows = []
    for bed in BEDS:
        name = f"bed{bed}"
        text = source.replace('"ahmed"', f'"{name}"').replace("[300, 300, 300]", f"[{bed}, {bed}, {bed}]")
        (tmp_path / f"{name}.toml").write_text(text)
        start = time.monotonic()
        code, _, said = real_command("plan", tmp_path / f"{name}.toml", "--out", tmp_path / "out", timeout=3000)
        seconds = time.monotonic() - start
        assert code in (0, 1), said
        measures = json.loads((tmp_path / "out" / f"{name}-plan" / "findings.json").read_text())["measures"]
        value = {measure["name"]: measure["value"] for measure in measures}
        findings = re.search(r"(\w+) findings?", said).group(0)
        rows.append((bed, value["sections"], value["sections-even-grid"], seconds, findings))
    print("\nbed, sections, even grid, seconds against the largest bed's, findings")
    for bed, sections, grid, seconds, findings in rows:
        print(f"{bed}, {sections:.0f}, {grid:.0f}, {seconds / rows[0][3]:.2f} ({seconds:.0f} s), {findings}")
