"""Repairing: nothing that is not asked for, each step measured, the limit kept; distances as VTK has them."""

import numpy as np
import pytest
import trimesh

from sections.errors import BadInput
from sections.numbers.mesh import Mesh, join
from sections.scan.moved import movement
from sections.scan.repair import FIRST, THEN, RepairOrder, repair
from sections.scan.surfaces import Rims
from sections.settings.scan import RepairTable
from sections.solids.soundness import solid_flaws

STEPS = (*FIRST, *THEN)


def order(**asked):
    return RepairOrder(RepairTable(**asked), None, 0.02, "scan.stl")


def ball(radius=200.0, at=(0, 0, 0), subdivisions=4):
    made = trimesh.creation.icosphere(subdivisions, radius)
    return Mesh(made.vertices + np.array(at, float), made.faces)


def by_vtk(mesh, points):
    """Distances of points to a mesh, by VTK's vtkImplicitPolyDataDistance."""
    from vtkmodules.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray
    from vtkmodules.vtkCommonCore import vtkPoints
    from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData
    from vtkmodules.vtkFiltersCore import vtkImplicitPolyDataDistance

    data, corners, cells = vtkPolyData(), vtkPoints(), vtkCellArray()
    corners.SetData(numpy_to_vtk(mesh.vertices, deep=True))
    rows = np.column_stack([np.full(len(mesh), 3), mesh.faces]).ravel()
    cells.SetCells(len(mesh), numpy_to_vtkIdTypeArray(rows, deep=True))
    data.SetPoints(corners)
    data.SetPolys(cells)
    distance = vtkImplicitPolyDataDistance()
    distance.SetInput(data)
    return np.abs([distance.EvaluateFunction(point) for point in points])


def torn():
    """A ball with a hole of 60 mm, a few faces turned, some there twice, and three specks beside it."""
    mesh = ball()
    mesh = mesh.submesh(np.linalg.norm(mesh.triangles.mean(1) - [0, 0, 200], axis=1) > 30)
    faces = mesh.faces.copy()
    faces[100:140] = faces[100:140, ::-1]
    faces = np.vstack([faces, mesh.faces[300:310]])
    specks = [ball(2.0, (260, 30 * n, 0), 1) for n in range(3)]
    return join([Mesh(mesh.vertices, faces), *specks])


def test_all_of_it():
    """The torn ball is whole again: its volume, and no corner of it elsewhere."""
    made = repair(torn(), order(limit=0.1, duplicate_faces=True, small_shells=10, orient=True, holes=80), STEPS)
    assert [one.key for one in made.done] == ["duplicate_faces", "small_shells", "orient", "holes"]
    assert not solid_flaws(made.mesh, 0.02) and made.spent < 1e-9
    assert made.mesh.volume_mm3 == pytest.approx(ball().volume_mm3, rel=2e-4)
    reported = "\n".join(str(one) for one in made.done)
    assert "10 faces that lay on others" in reported and "3 surfaces taken out" in reported
    assert "40 faces turned" in reported and "1 holes closed smooth" in reported and "at (0.0, 0.0, 19" in reported


@pytest.mark.parametrize("left_out", ["duplicate_faces", "small_shells", "orient", "holes"])
def test_nothing_unasked(left_out):
    """Whatever is left out is still wrong afterwards."""
    asked = {"duplicate_faces": True, "small_shells": 10.0, "orient": True, "holes": 80.0}
    asked.pop(left_out)
    made = repair(torn(), order(limit=0.1, **asked), STEPS)
    assert left_out not in [one.key for one in made.done]
    flaws = {flaw.code for flaw in solid_flaws(made.mesh, 0.02)}
    wanted = {"duplicate_faces": "branching", "orient": "turned", "holes": "open"}
    assert len(made.mesh) > 0 and (wanted[left_out] in flaws if left_out in wanted else not flaws)
    if left_out == "small_shells":
        assert made.mesh.bounds[1, 0] > 255


def test_asked_for_nothing():
    mesh = torn()
    made = repair(mesh, order(), STEPS)
    assert made.mesh is mesh and made.done == () and made.spent == 0


class TestTheLimit:
    def noisy(self):
        clean = ball(500, subdivisions=5)
        noise = np.random.default_rng(1).normal(0, 0.3, len(clean.vertices))
        return Mesh(clean.vertices * (1 + noise / 500)[:, None], clean.faces)

    def test_each_step_is_measured(self):
        """Smoothing, then fewer triangles: each within what it was allowed, as VTK measures it, and reported so."""
        asked = order(limit=0.7, smooth=0.5, simplify=0.1)
        mesh = self.noisy()
        made = repair(mesh, asked, STEPS)
        for one, allowed in zip(made.done, (0.5, 0.1), strict=True):
            assert 0 < one.moved.most <= allowed + 1e-9
        assert made.spent == pytest.approx(sum(one.moved.most for one in made.done))
        assert 0 < by_vtk(mesh, made.mesh.vertices).max() <= made.spent + 1e-6

    def test_all_steps_together(self):
        """0.4 mm of smoothing and corners made one within 0.4: each alone is within 0.5, both are not."""
        rng = np.random.default_rng(2)
        clean = self.noisy()
        apart = Mesh(clean.triangles.reshape(-1, 3), np.arange(3 * len(clean)).reshape(-1, 3))
        apart = Mesh(apart.vertices + rng.normal(0, 0.06, apart.vertices.shape), apart.faces)
        repair(apart, order(limit=0.5, weld=0.5), STEPS)
        with pytest.raises(BadInput, match=r"repair.smooth(.|\n)*by all steps together(.|\n)*in all"):
            repair(apart, order(limit=0.5, weld=0.5, smooth=0.4), STEPS)

    def test_what_the_envelope_leaves_out_is_named(self):
        """Two balls inside a larger one: each with its size and place, the larger first."""
        inner = [Mesh(ball(radius).vertices + np.array(at), ball(radius).faces)
                 for radius, at in ((10, (30, 0, 0)), (25, (-40, 10, 0)))]  # fmt: skip
        made = repair(join([ball(), *inner]), order(limit=0.1, envelope=True), STEPS)
        assert len(made.mesh) == len(ball())
        assert "2 surfaces wholly inside left out: 50 x 50 x 50 mm at (-40.0, 10.0, 0.0); 20 x 20 x 20" in str(
            made.done[0]
        )

    def test_skin_that_stands_out_is_not_taken_out(self):
        """A cup that hangs out of a ball, both sides of it given: as an envelope it would be lost; that is refused."""
        cup = ball(60, (250, 0, 0), 3)
        cup = cup.submesh(cup.triangles.mean(1)[:, 0] < 245)
        both_sides = join([cup, Mesh(cup.vertices, cup.faces[:, ::-1])])
        with pytest.raises(BadInput, match="would be lost at"):
            repair(join([ball(), both_sides]), order(limit=0.1, envelope=True), STEPS)

    def test_fewer_triangles_of_an_open_skin(self):
        """A bowl: six tenths of its faces at most, its rim corner for corner, nothing further than asked (by VTK)."""
        bowl = ball(800, subdivisions=6)
        bowl = bowl.submesh(bowl.triangles.mean(1)[:, 2] > 300)
        made = repair(bowl, order(limit=0.3, simplify=0.3), STEPS).mesh
        assert len(made) < 0.6 * len(bowl)
        assert by_vtk(bowl, made.vertices).max() <= 0.3 and by_vtk(made, bowl.vertices).max() <= 0.3
        rims = [{tuple(v) for v in one.vertices[np.unique(Rims.of(one).ends)]} for one in (bowl, made)]
        assert rims[0] == rims[1]

    def test_fewer_triangles_only_of_a_sound_skin(self):
        with pytest.raises(BadInput, match="a sound skin to simplify"):
            repair(torn(), order(limit=0.1, simplify=0.1), STEPS)


class TestMovement:
    def test_known_shifts(self):
        """A ball pushed 0.25 mm along z: its poles are 0.25 from where they were; nothing is further."""
        pushed = Mesh(ball().vertices + [0, 0, 0.25], ball().faces)
        found = movement(ball(), pushed)
        assert found.most == pytest.approx(0.25, rel=0.01) and abs(found.at[2]) > 150

    def test_what_is_new_or_lost_is_left_out(self):
        mesh = ball()
        top = mesh.triangles.mean(1)[:, 2] > 150
        assert movement(mesh, mesh.submesh(~top)).most > 40
        assert movement(mesh, mesh.submesh(~top), lost=top).most < 1e-9
        assert movement(mesh.submesh(~top), mesh, added=top).most < 1e-9
