"""A body from a script and the same body written out as STEP give the same sections."""

import cadquery as cq
import pytest

from sections.export.manifest import read_manifest
from sections.run.reading import read_plan
from tests.conftest import ROOT, build_quietly, real_command


def compare(one, two):
    """Both builds hold the same sections, joints and loose pieces, every STL equal to the byte."""
    first, second = (read_manifest(out) for out in (one, two))
    files = [{p.id: [f.sha256 for f in p.files if f.format == "stl"] for p in m.parts} for m in (first, second)]
    assert all(len(shas) == 1 for shas in files[0].values())
    assert files[0] == files[1]
    plans = [read_plan(out) for out in (one, two)]
    assert plans[0].joints == plans[1].joints and len(plans[0].joints) > 10


def test_pod(pod_folder):
    from tests.pod.pod import body

    text = (pod_folder / "pod.toml").read_text() + '\n[output]\nformats = ["stl"]\n'
    (pod_folder / "pod.toml").write_text(text)
    script = build_quietly(pod_folder / "pod.toml", pod_folder / "script")[1]
    cq.exporters.export(body(), str(pod_folder / "pod.step"))
    (pod_folder / "file.toml").write_text(text.replace('script = "pod.py:body"', 'file = "pod.step"'))
    compare(script, build_quietly(pod_folder / "file.toml", pod_folder / "file")[1])


@pytest.mark.slow
def test_plover(tmp_path):
    import sys

    sys.path.insert(0, str(ROOT / "params"))
    import plover

    cq.exporters.export(cq.Workplane(plover.body()), str(tmp_path / "plover.step"))
    (tmp_path / "plover.py").write_text((ROOT / "params" / "plover.py").read_text())
    text = (ROOT / "params" / "plover.toml").read_text() + '\n[output]\nformats = ["stl", "3mf"]\n'
    (tmp_path / "script.toml").write_text(text)
    (tmp_path / "file.toml").write_text(text.replace('script = "plover.py:body"', 'file = "plover.step"'))
    for name in ("script", "file"):
        arguments = (tmp_path / f"{name}.toml", "--out", tmp_path / name, "--no-check")
        assert real_command("build", *arguments, timeout=900)[0] == 0
    compare(tmp_path / "script" / "plover", tmp_path / "file" / "plover")
