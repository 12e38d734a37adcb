"""A body from a script and the same body written out as STEP give the same sections."""

import cadquery as cq
import numpy as np
import pytest

from sections.run.reading import built_section, manifest_of, plan_of
from tests.conftest import ROOT, build_quietly


def forget():
    for cached in (plan_of, manifest_of, built_section):
        cached.cache_clear()


def compare(one, two):
    """Both builds have the same sections and joints, of the same volume to 1 in 10 000, within 0.2 mm of each other.

    Twice the deviation: both skins lie within it of the one surface. A mark may sit elsewhere, and a joint whose room
    ends where one skin lets it and the other does not may sit one station, under 3 mm, aside: those are left out.
    """
    forget()
    first = {p.id: p for p in manifest_of(one).parts}
    shapes = {i: built_section(one, i) for i, p in first.items() if p.kind == "section"}
    joints = {j.id: np.array(j.frame.origin) for j in plan_of(one).joints}
    forget()
    second = {p.id: p for p in manifest_of(two).parts}
    assert sorted(first) == sorted(second)
    others = {j.id: np.array(j.frame.origin) for j in plan_of(two).joints}
    assert joints.keys() == others.keys()
    aside = {i: float(np.linalg.norm(joints[i] - others[i])) for i in joints}
    assert max(aside.values()) < 3.0
    shifted = [place for i in joints if aside[i] > 0.1 for place in (joints[i], others[i])]
    assert len(shifted) <= 0.1 * len(joints)
    for name, shape in shapes.items():
        assert second[name].volume_mm3 == pytest.approx(first[name].volume_mm3, rel=1e-4), name
        other = built_section(two, name)
        corners = other.mesh.vertices
        for mark in (shape.planned.label_frame, other.planned.label_frame):
            corners = corners[np.linalg.norm(corners - mark.origin, axis=1) > 30]
        for place in shifted:
            corners = corners[np.linalg.norm(corners - place, axis=1) > 25]
        assert len(corners) > 1000
        assert shape.surface.unsigned(corners).max() < 0.2, name


def test_pod(pod_folder):
    from tests.pod.pod import body

    script = build_quietly(pod_folder / "pod.toml", pod_folder / "script")[1]
    cq.exporters.export(body(), str(pod_folder / "pod.step"))
    text = (pod_folder / "pod.toml").read_text().replace('script = "pod.py:body"', 'file = "pod.step"')
    (pod_folder / "file.toml").write_text(text)
    compare(script, build_quietly(pod_folder / "file.toml", pod_folder / "file")[1])


@pytest.mark.slow
def test_plover(tmp_path):
    import sys

    sys.path.insert(0, str(ROOT / "params"))
    import plover

    cq.exporters.export(cq.Workplane(plover.body()), str(tmp_path / "plover.step"))
    (tmp_path / "plover.py").write_text((ROOT / "params" / "plover.py").read_text())
    text = (ROOT / "params" / "plover.toml").read_text()
    (tmp_path / "script.toml").write_text(text)
    (tmp_path / "file.toml").write_text(text.replace('script = "plover.py:body"', 'file = "plover.step"'))
    compare(
        build_quietly(tmp_path / "script.toml", tmp_path / "script")[1],
        build_quietly(tmp_path / "file.toml", tmp_path / "file")[1],
    )
