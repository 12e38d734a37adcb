"""What is done to a mesh before it is a body: [[measured]], [datum], [repair], [half]."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from sections.settings.table import Name, Table, Vector


class Measured(Table):
    """A true distance, taken on the car, that the scan must show."""

    id: Name = Field(description="name of the distance")
    between: Annotated[list[Vector], Field(min_length=2, max_length=2)] = Field(
        description="its two ends: mm, in the file's own axes, as `sections inspect` prints places"
    )
    length: float = Field(gt=0, description="mm; the true distance between them")
    tolerance: float = Field(1.0, gt=0, description="mm; a scan further off is refused, and the factor named")


class Target(Table):
    """Places of the file of which vehicle coordinates are known."""

    points: Annotated[list[Vector], Field(min_length=1)] = Field(
        description="one place, two on an axis, three or more on a plane: mm, in the file's own axes"
    )
    x: float | None = Field(None, description="mm; the vehicle x they all have, where it is known")
    y: float | None = Field(None, description="mm; the vehicle y")
    z: float | None = Field(None, description="mm; the vehicle z")
    over: float = Field(
        0.0, ge=0, le=500, description="mm; each place is the mean of the skin this near it; 0: as given"
    )


class DatumTable(Table):
    """How the scan is set into the vehicle frame."""

    targets: list[Target] = Field([], description="what is known; 3-2-1 is three z, two y, one x")
    centre: bool = Field(False, description="y = 0 is the skin's best plane of symmetry")
    limit: float = Field(1.0, gt=0, le=100, description="mm; the most a target may be missed by")


class RepairTable(Table):
    """What is repaired, in this order; nothing is that is not asked for."""

    limit: float = Field(0.1, gt=0, le=50, description="mm; the most all steps together may move the skin")
    weld: float = Field(0.0, ge=0, le=20, description="mm; corners closer than this are made one; 0: not done")
    sew: float = Field(
        0.0, ge=0, le=20,
        description="mm; edges of a STEP file's loose faces and open shells closer than this are joined; 0: not done",
    )  # fmt: skip
    duplicate_faces: bool = Field(False, description="faces that lie on others are taken out")
    small_shells: float = Field(0.0, ge=0, description="mm; surfaces no longer than this are taken out; 0: not done")
    orient: bool = Field(False, description="faces are turned alike, and outward")
    hems: float = Field(
        0.0, ge=0, le=50,
        description="mm; rims of an open skin that are folded back under it, with less room between than this, are cut "
        "off; 0: not done",
    )  # fmt: skip
    holes: float = Field(0.0, ge=0, description="mm; holes up to this size across are closed; 0: not done")
    patch: Literal["smooth", "flat"] = Field("smooth", description="how holes are closed")
    envelope: bool = Field(False, description="only the outermost faces stay where bodies overlap or the skin crosses")
    wrap: float = Field(
        0.0, ge=0, le=500,
        description="mm; last resort: a closed skin is laid around whatever there is, and bridges holes, slots and "
        "recesses narrower than this; limit holds where it bridges nothing; 0: not done",
    )  # fmt: skip
    smooth: float = Field(0.0, ge=0, le=20, description="mm; noise is smoothed, nothing moved farther; 0: not done")
    crease: float = Field(40.0, gt=0, le=180, description="deg; edges sharper than this are kept by smooth and blend")
    simplify: float = Field(0.0, ge=0, le=2, description="mm; fewer triangles, none farther off; 0: not done")

    @property
    def asked(self) -> bool:
        """Whether any step on triangles is asked for."""
        other = ("limit", "patch", "crease", "sew")
        return any(getattr(self, key) for key in type(self).model_fields if key not in other)


class HalfTable(Table):
    """One half of a body, made whole by its mirror image in y = 0."""

    side: Literal["right", "left"] = Field(description="the half that is kept")
    reach: float = Field(1.0, ge=0, le=50, description="mm; a rim this near y = 0 is drawn onto it")
    blend: float = Field(
        0.0, ge=0, le=500, description="mm; beside y = 0, where a ridge is faired out; 0: left as it is"
    )
