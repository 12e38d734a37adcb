"""What prints take: plastic and time, estimated."""

from __future__ import annotations

from dataclasses import dataclass

from sections.coupons.coupon import Coupon
from sections.settings import Settings

# mm; layer reckoned with. s; lost between two layers of a plate. Common practice, no source.
_LAYER, _BETWEEN = 0.2, 2.0


@dataclass(frozen=True)
class PrintEstimate:
    """grams : if solid. minutes : printed solid, all on one plate."""

    grams: float
    minutes: float


def estimate_of(settings: Settings, coupons: tuple[Coupon, ...]) -> PrintEstimate:
    """Return what test prints take on the printer: their plastic at its flow, and a moment between layers."""
    volume = sum(coupon.solid.Volume() for coupon in coupons)
    high = max(coupon.solid.BoundingBox().zlen for coupon in coupons)
    return PrintEstimate(volume * settings.material.density / 1000, 60 * print_hours(settings, volume, high))


def print_hours(settings: Settings, volume: float, high: float) -> float:
    """Return how many hours a plate takes, estimated. volume : mm3, of all on it, solid. high : mm, of the highest."""
    return (volume / settings.printer.volumetric_flow + high / _LAYER * _BETWEEN) / 3600
