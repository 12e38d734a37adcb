"""What callipers go on: lengths along the bed's three directions, and plain holes."""

from __future__ import annotations

from sections.coupons.coupon import Coupon, CouponHole, Size, less, moved, on_front, plate, stroke_of, sunk_text
from sections.errors import PARAMETERS, BadInput, Problem
from sections.features.shapes import cylinder
from sections.plan.pose import beds_of
from sections.settings import Settings

# mm; the plate, as long as its arms are where the bed is large, and the parts of it at which they step in.
_LONG, _THICK, _PART_OF_BED = 150.0, 3.0, 0.6
# mm; the shortest plate whose arms step in, and the one whose corner has room for holes, so far from it.
_SHORTEST, _LONG_ENOUGH, _CLEAR_OF_CORNER = 80.0, 115.0, 16.0
_STEPS = (0.2, 7 / 15, 11 / 15, 1.0)
_WIDTHS = (14.0, 11.0, 9.0, 7.0)
# mm; a hole in each step of both arms.
_HOLES = (10.0, 7.0, 5.0, 4.0)
# mm; the tower's heights, and its treads.
_HEIGHTS = (10.0, 20.0, 30.0, 40.0)
_TREAD, _DEEP = 5.5, 8.0
_MARK = 4.0


def length_plate(settings: Settings) -> Coupon:
    """Return an angle plate: two arms that step in, so that callipers find four lengths along x and four along y, all
    from one corner, with holes of four sizes in each."""
    room = min(min(bed.room[:2]) for bed in beds_of(settings))
    if room < _SHORTEST:
        limit = f"{_SHORTEST:g} mm of use in x and y for the test prints, now {room:.0f}"
        raise BadInput([Problem(PARAMETERS, "printer.bed", str(settings.printer.bed), limit, "give the true size")])
    long = min(_LONG, max(_PART_OF_BED * room, min(room, _LONG_ENOUGH)))
    ends = [round(long * part, 1) for part in _STEPS]
    stroke = stroke_of(settings)
    cutters, sizes, holes = [], [], []
    starts = [0.0, *ends[:-1]]
    for kind in ("x", "y"):

        def at(along: float, across: float, kind: str = kind) -> tuple[float, float]:
            return (along, across) if kind == "x" else (across, along)

        for start, end, width, across in zip(starts, ends, _WIDTHS, _HOLES, strict=True):
            # Just inside the step's own side: there its end stands free.
            level = width - 1.0
            name = f"{kind}-{end:g}"
            sizes.append(Size(name, kind, (*at(0.0, level), -_THICK / 2), (*at(end, level), -_THICK / 2)))
            if start == 0 and long < _LONG_ENOUGH:
                continue  # the corner has no room for its holes
            middle = at(max(start + (end - start) * 0.72, _CLEAR_OF_CORNER * (start == 0)), width / 2)
            cutters.append(moved(cylinder(across / 2, -_THICK - 1, 1.0), *middle))
            holes.append(CouponHole(f"{kind}-{across:g}", middle, across))
            x, y = middle
            ends_of = ((x - across / 2, y, -_THICK / 2), (x + across / 2, y, -_THICK / 2))
            sizes.append(Size(f"hole-{kind}-{across:g}", "hole", *ends_of))
            if start > 0:
                text = f"{end:g}" if kind == "x" else f"{kind.upper()}{end:g}"
                cutters += _along(text, at(start + (end - start) * 0.3, width / 2), kind, stroke)
    outline = _angle(ends)
    cutters += sunk_text("XY", (ends[0] / 2 - 2, _WIDTHS[0] / 2), _MARK, stroke)
    use = (
        "callipers across, half way up: from the corner's outer face to each step, along x and along y; then each "
        "hole, in two directions"
    )
    return Coupon("coupon-length", less(plate(outline, _THICK), cutters), 0.0, tuple(holes), use, tuple(sizes))


def _angle(ends: list[float]) -> list[tuple[float, float]]:
    """Return the outline of the angle: out along the x arm's steps, back in, up the y arm's."""
    right = []
    for end, width, inner in zip(reversed(ends), reversed(_WIDTHS), [None, *reversed(_WIDTHS[1:])], strict=True):
        if inner is not None:
            right.append((end, inner))
        right.append((end, width))
    x_arm = [(0.0, 0.0), (ends[-1], 0.0), *right[:-1]]
    corner = [(ends[0], _WIDTHS[0]), (_WIDTHS[0], _WIDTHS[0]), (_WIDTHS[0], ends[0])]
    y_arm = [(b, a) for a, b in reversed(right[:-1])]
    return [*x_arm, *corner, *y_arm, (0.0, ends[-1])]


def _along(text: str, middle: tuple[float, float], kind: str, stroke: float) -> list:
    """Return a sunk text that runs along the arm."""
    import cadquery as cq

    if kind == "x":
        return sunk_text(text, middle, _MARK, stroke)
    turned = cq.Location(cq.Vector(*middle, 0), cq.Vector(0, 0, 1), 90.0)
    return [solid.moved(turned) for solid in sunk_text(text, (0.0, 0.0), _MARK, stroke)]


def height_tower(settings: Settings) -> Coupon:
    """Return stairs: four heights above the bed."""
    outline, sizes = [(0.0, 0.0)], []
    high = _HEIGHTS[-1]
    for number, height in enumerate(_HEIGHTS):
        left, right = number * _TREAD, (number + 1) * _TREAD
        outline += [(left, height), (right, height)]
        x = (left + right) / 2
        sizes.append(Size(f"height-{height:g}", "height", (x, 0.0, -high), (x, 0.0, height - high)))
    outline.append((len(_HEIGHTS) * _TREAD, 0.0))
    for name, kind, z in (("foot", "foot", 0.1), ("above", "thickness", 6.0)):
        x = 1.5 * _TREAD
        sizes.append(Size(name, kind, (x, -_DEEP / 2, z - high), (x, _DEEP / 2, z - high)))
    solid = upright(outline, _DEEP, -high)
    cutters = on_front(sunk_text("Z", (0.0, 0.0), _MARK, stroke_of(settings)), -_DEEP / 2, (3.5 * _TREAD, -high + 5))
    for number, height in enumerate(_HEIGHTS):
        text = sunk_text(f"{height:g}", (0.0, 0.0), 3.6, stroke_of(settings))
        cutters += on_front(_quarter(text), -_DEEP / 2, ((number + 0.5) * _TREAD, height - high - 5))
    use = (
        "callipers upright, from the face that lay on the bed to each tread; then across, on the very edge that lay on "
        "the bed (foot) and 6 mm above it (above)"
    )
    return Coupon("coupon-height", less(solid, cutters), 0.0, (), use, tuple(sizes))


def _quarter(solids: list) -> list:
    import cadquery as cq

    return [solid.moved(cq.Location(cq.Vector(0, 0, 0), cq.Vector(0, 0, 1), 90.0)) for solid in solids]


def upright(outline: list[tuple[float, float]], width: float, base: float = 0.0):
    """Return a solid of an outline in x, z, `width` wide about y = 0, its z moved up by `base`, mm."""
    import cadquery as cq

    solid = cq.Workplane("XZ").polyline(outline).close().extrude(width).val()
    return moved(solid, 0.0, width / 2, base)
