"""Rendering meshes to PNG without a screen, by VTK.

Pictures take a third longer with the backs of closed faces drawn. Without several samples a pixel they would take
half, but lines a pixel wide break up.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from sections.errors import OutputRefused
from sections.numbers.mesh import Mesh
from sections.numbers.sharp import sharp_edges

# Pixels; width and height of a picture.
SIZE = (1600, 1000)
_BACKGROUND = (0.96, 0.96, 0.94)
_EDGE = (0.12, 0.13, 0.15)
# deg; the picture's height as the eye sees it, and the part of it that is filled.
_VIEW_ANGLE = 22.0
_FILLED = 0.94
# deg; edges sharper than this are drawn.
_FEATURE_ANGLE = 35.0
# Points; size of a tag's letters.
_TAG = 13


@dataclass(frozen=True)
class Item:
    """One mesh of a picture, its colour (r, g, b, 0 to 1; or (n, 3), one for each corner), whether its sharp edges are
    drawn, and how solid it looks: below 1 what lies behind it shows through. closed : whether nobody can see its faces
    from behind; a fifth of the time is saved."""

    mesh: Mesh
    colour: tuple[float, float, float] | np.ndarray
    edges: bool = True
    opacity: float = 1.0
    closed: bool = False


@dataclass(frozen=True)
class Caption:
    """A line of text in the upper left, and its colour."""

    text: str
    colour: tuple[float, float, float]


@dataclass(frozen=True)
class Tag:
    """A short text over a place, (3,) mm; nothing hides it."""

    text: str
    at: np.ndarray


@dataclass(frozen=True)
class View:
    """Where it is seen from: `toward` points from the middle to the eye. up : the picture's upright."""

    toward: tuple[float, float, float]
    up: tuple[float, float, float] = (0.0, 0.0, 1.0)


def render(
    items: Iterable[Item],
    views: dict[str, View],
    root: Path,
    size: tuple[int, int] | None = None,
    captions: Iterable[Caption] = (),
    tags: dict[str, list[Tag]] | None = None,
) -> None:
    """Write a PNG of the items from each view, named below `root`. Raises OutputRefused when one cannot be written.

    size : pixels; SIZE where none is given. tags : by view, over the scene.
    """
    import vtkmodules.vtkRenderingFreeType  # noqa: F401  (registers the letters)
    import vtkmodules.vtkRenderingOpenGL2  # noqa: F401  (registers the off-screen renderer)
    from vtkmodules.vtkCommonCore import vtkLogger

    # Without a screen the library warns before it renders off screen; what fails is reported by the missing picture.
    vtkLogger.SetStderrVerbosity(vtkLogger.VERBOSITY_OFF)
    items, size = list(items), size or SIZE
    renderer, window = _scene(items, size, captions)
    points = np.concatenate([item.mesh.vertices for item in items])
    camera = renderer.GetActiveCamera()
    camera.SetViewAngle(_VIEW_ANGLE)
    bounds = np.stack([points.min(0), points.max(0)]).T.ravel()
    for name, view in views.items():
        eye, look_at = stand(points, view, size[0] / size[1])
        camera.SetPosition(*eye)
        camera.SetFocalPoint(*look_at)
        camera.SetViewUp(*view.up)
        renderer.ResetCameraClippingRange(*bounds)
        over = [_over(tag) for tag in (tags or {}).get(name, ())]
        for text in over:
            renderer.AddViewProp(text)
        window.Render()
        _write(window, root / name)
        for text in over:
            renderer.RemoveViewProp(text)
    window.Finalize()


def _over(tag: Tag):
    """Return a text over a place of the scene."""
    from vtkmodules.vtkRenderingCore import vtkTextActor

    actor = vtkTextActor()
    actor.SetInput(tag.text)
    place = actor.GetPositionCoordinate()
    place.SetCoordinateSystemToWorld()
    place.SetValue(*map(float, tag.at))
    style = actor.GetTextProperty()
    style.SetFontSize(_TAG)
    style.SetColor(*_EDGE)
    style.SetJustificationToCentered()
    style.SetVerticalJustificationToCentered()
    return actor


def _write(window, path: Path) -> None:
    """Write what a window shows as a PNG."""
    from vtkmodules.vtkIOImage import vtkPNGWriter
    from vtkmodules.vtkRenderingCore import vtkWindowToImageFilter

    grab = vtkWindowToImageFilter()
    grab.SetInput(window)
    grab.ReadFrontBufferOff()
    grab.ShouldRerenderOff()
    writer = vtkPNGWriter()
    writer.SetFileName(os.fspath(path))
    writer.SetInputConnection(grab.GetOutputPort())
    writer.Write()
    if not path.is_file() or path.stat().st_size == 0:
        raise OutputRefused(f"{path}: the picture could not be written")


def _scene(items: list[Item], size: tuple[int, int], captions: Iterable[Caption]):
    """Return (renderer with the items in it, its window off the screen)."""
    from vtkmodules.vtkRenderingCore import vtkRenderer, vtkRenderWindow

    renderer, window = vtkRenderer(), vtkRenderWindow()
    renderer.SetBackground(*_BACKGROUND)
    for item in items:
        for actor in _actors(item):
            renderer.AddActor(actor)
    for line, caption in enumerate(captions):
        renderer.AddViewProp(_text(caption, size[1] - 46 - 34 * line))
    window.SetOffScreenRendering(1)
    glass = any(item.opacity < 1 for item in items)
    if glass:
        # Drawn layer by layer in the order it is seen in, which several samples a pixel do not allow.
        window.SetAlphaBitPlanes(1)
        renderer.SetUseDepthPeeling(True)
        renderer.SetUseFXAA(True)
    window.SetMultiSamples(0 if glass else 8)
    window.SetSize(*size)
    window.AddRenderer(renderer)
    return renderer, window


def stand(points: np.ndarray, view: View, aspect: float) -> tuple[np.ndarray, np.ndarray]:
    """Return the eye and the point it looks at, (3,) each, so that points (n, 3) fill the picture, none outside it.

    aspect : width of the picture by its height. A point a to the side and z toward the eye, which stands at s and
    d, is seen within the slope m when |a - s| <= m (d - z): the nearest eye touches the bound on both sides.
    """
    back = np.asarray(view.toward, float) / np.linalg.norm(view.toward)
    right = np.cross(view.up, back)
    right /= np.linalg.norm(right)
    axes = np.column_stack([right, np.cross(back, right), back])
    local = points @ axes
    slope = np.tan(np.radians(_VIEW_ANGLE / 2)) * _FILLED * np.array([aspect, 1.0])
    above = (local[:, 2:] + local[:, :2] / slope).max(0)
    below = (local[:, 2:] - local[:, :2] / slope).max(0)
    aside = slope * (above - below) / 2
    return axes @ [*aside, (above + below).max() / 2], axes @ [*aside, local[:, 2].mean()]


def _actors(item: Item):
    """Yield the surface of an item, and its sharp edges."""
    from vtkmodules.vtkFiltersCore import vtkPolyDataNormals
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

    data = _poly_data(item.mesh)
    by_corner = isinstance(item.colour, np.ndarray)
    if by_corner:
        data.GetPointData().SetScalars(_colours(item.colour))
    shaded = vtkPolyDataNormals()
    shaded.SetInputData(data)
    shaded.SetFeatureAngle(_FEATURE_ANGLE)
    mapper = vtkPolyDataMapper()
    mapper.SetInputConnection(shaded.GetOutputPort())
    surface = vtkActor()
    surface.SetMapper(mapper)
    look = surface.GetProperty()
    if not by_corner:
        look.SetColor(*item.colour)
    look.SetOpacity(item.opacity)
    look.SetAmbient(0.28)
    look.SetDiffuse(0.72)
    look.SetSpecular(0.12)
    look.SetBackfaceCulling(item.closed)
    yield surface
    if not item.edges:
        return
    lines_data = _line_data(item.mesh.vertices, sharp_edges(item.mesh, _FEATURE_ANGLE))
    lines = vtkPolyDataMapper()
    lines.SetInputData(lines_data)
    lines.SetResolveCoincidentTopologyToPolygonOffset()
    drawn = vtkActor()
    drawn.SetMapper(lines)
    drawn.GetProperty().SetColor(*_EDGE)
    drawn.GetProperty().SetLineWidth(1.2)
    drawn.GetProperty().SetLighting(False)
    yield drawn


def _text(caption: Caption, height: int):
    from vtkmodules.vtkRenderingCore import vtkTextActor

    actor = vtkTextActor()
    actor.SetInput(caption.text)
    actor.SetPosition(28, height)
    actor.GetTextProperty().SetFontSize(24)
    actor.GetTextProperty().SetColor(*caption.colour)
    return actor


def _line_data(vertices: np.ndarray, edges: np.ndarray):
    from vtkmodules.vtkCommonDataModel import vtkPolyData

    data = vtkPolyData()
    data.SetPoints(_points(vertices))
    data.SetLines(_cells(edges))
    return data


def _poly_data(mesh: Mesh):
    from vtkmodules.vtkCommonDataModel import vtkPolyData

    data = vtkPolyData()
    data.SetPoints(_points(mesh.vertices))
    data.SetPolys(_cells(mesh.faces))
    return data


def _points(vertices: np.ndarray):
    from vtkmodules.util.numpy_support import numpy_to_vtk
    from vtkmodules.vtkCommonCore import vtkPoints

    points = vtkPoints()
    points.SetData(numpy_to_vtk(vertices.astype(np.float32), deep=True))
    return points


def _colours(colours: np.ndarray):
    from vtkmodules.util.numpy_support import numpy_to_vtk

    return numpy_to_vtk(np.ascontiguousarray((255 * colours).round().astype(np.uint8)), deep=True)


def _cells(rows: np.ndarray):
    from vtkmodules.util.numpy_support import numpy_to_vtkIdTypeArray
    from vtkmodules.vtkCommonDataModel import vtkCellArray

    cells = vtkCellArray()
    flat = np.column_stack([np.full(len(rows), rows.shape[1]), rows]).ravel()
    cells.ImportLegacyFormat(numpy_to_vtkIdTypeArray(flat.astype(np.int64), deep=True))
    return cells
