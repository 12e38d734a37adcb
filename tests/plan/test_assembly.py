"""The order in which sections go together, tried on what was built."""

import numpy as np
import pytest
import trimesh

# Built once, in one process.
pytestmark = pytest.mark.xdist_group("pod")


def test_every_step_is_free_on_its_way(pod):
    """Swept: what is brought on, at a dozen places along its straight way, never meets what it is brought onto, as
    built (manifold3d through trimesh); together at last, they touch without passing through one another."""
    mesh = {s.id: pod.section(s.id).mesh for s in pod.plan.sections}
    solid = {name: trimesh.Trimesh(one.vertices, one.faces) for name, one in mesh.items()}
    joined = {name: {name} for name in mesh}
    assert len(pod.plan.assembly) == len(mesh) - 1
    for step in pod.plan.assembly:
        assert joined[step.moved[0]] == set(step.moved) and joined[step.onto[0]] == set(step.onto)
        moved = trimesh.boolean.union([solid[name] for name in step.moved])
        onto = trimesh.boolean.union([solid[name] for name in step.onto])
        assert np.linalg.norm(step.direction) == 1
        for away in np.linspace(0.0, 60.0, 13):
            placed = moved.copy().apply_translation(-away * np.array(step.direction))
            assert trimesh.boolean.intersection([placed, onto]).volume < 0.5
        for name in (*step.moved, *step.onto):
            joined[name] = {*step.moved, *step.onto}
    assert joined[pod.plan.sections[0].id] == set(mesh), "the last step makes the body whole"


def test_another_way_is_not_free(pod):
    """The other way round, or aside by a wall, it is in the way: the sweep can fail."""
    step = pod.plan.assembly[-1]
    solid = {
        s.id: trimesh.Trimesh(pod.section(s.id).mesh.vertices, pod.section(s.id).mesh.faces) for s in pod.plan.sections
    }
    moved, onto = (trimesh.boolean.union([solid[name] for name in side]) for side in (step.moved, step.onto))
    placed = moved.copy().apply_translation(20.0 * np.array(step.direction))
    assert trimesh.boolean.intersection([placed, onto]).volume > 1000
