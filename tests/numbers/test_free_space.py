"""Where a hand gets: spheres, boxes and tubes whose insides are known."""

import numpy as np
import pytest
import trimesh

from sections.numbers.free_space import nodes_on, reached_by
from sections.numbers.mesh import Mesh

STEP, BALL, BODY, ARM = 10.0, 40.0, 200.0, 500.0


def mesh_of(shape):
    return Mesh(np.asarray(shape.vertices), np.asarray(shape.faces))


def box_with_hole(size, wall, hole):
    """A hollow cube with a square hole of a width through its wall at +x."""
    outer = trimesh.creation.box([size] * 3)
    inner = trimesh.creation.box([size - 2 * wall] * 3)
    shape = trimesh.boolean.difference([outer, inner])
    if hole:
        through = trimesh.creation.box([3 * wall, hole, hole])
        through.apply_translation([size / 2, 0, 0])
        shape = trimesh.boolean.difference([shape, through])
    return mesh_of(shape)


def reached(mesh):
    return reached_by(nodes_on(mesh, STEP), STEP, BALL, BODY, ARM)


def holds(found, place):
    near = np.array([np.array(place) - STEP, np.array(place) + STEP])
    places = found.places(near)
    return bool(len(places)) and np.abs(places - place).max(1).min() <= STEP


@pytest.mark.parametrize("step", [5.0, 12.0])
def test_nodes_lie_on_a_sphere_and_leave_no_gap(step):
    """All within half a cell's diagonal of it; and none of 4,000 places on it is further than a cell from a node."""
    ball = trimesh.creation.icosphere(3, 100.0)
    nodes = nodes_on(mesh_of(ball), step) * step
    assert np.abs(np.linalg.norm(nodes, axis=1) - 100).max() <= step * np.sqrt(3) / 2 + 1.0
    places, _ = trimesh.sample.sample_surface(ball, 4000, seed=3)
    off = np.array([np.abs(nodes - place).max(1).min() for place in places])
    assert off.max() <= step / 2 + 1e-9 + step / 2


@pytest.mark.parametrize(("hole", "inside"), [(0.0, False), (60.0, False), (120.0, True)])
def test_a_hand_80_wide_goes_in_by_a_hole_wide_enough(hole, inside):
    """A closed cube, one with a hole of 60 and one with a hole of 120: the lattice may be off by a cell each way."""
    assert holds(reached(box_with_hole(400.0, 10.0, hole)), (0, 0, 0)) == inside


def test_an_arm_ends():
    """In a tube 200 wide and closed at the far end a person (400 wide) stays outside: an arm of 500 and half a person
    reach about 700 in, however long the tube is."""
    tube = trimesh.creation.annulus(100.0, 105.0, 2000.0, sections=64)
    end = trimesh.creation.cylinder(105.0, 5.0, sections=64)
    end.apply_translation([0, 0, 1000])
    found = reached(mesh_of(trimesh.util.concatenate([tube, end])))
    assert holds(found, (0, 0, -900)) and holds(found, (0, 0, -500))
    assert not holds(found, (0, 0, -100)) and not holds(found, (0, 0, 800))


def test_a_person_goes_in_where_there_is_room():
    """In a room 1,200 wide, open on one side, the far corners of hand's height are in reach."""
    room = trimesh.creation.box([1200, 1200, 2400])
    inner = trimesh.creation.box([1180, 1180, 2400])
    inner.apply_translation([0, 0, 20])
    found = reached(mesh_of(trimesh.boolean.difference([room, inner])))
    assert holds(found, (500, 500, -1050))
