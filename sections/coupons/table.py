"""The table of test prints. A new one is one new function and one line here."""

from __future__ import annotations

from sections.coupons.bars import height_tower, length_plate
from sections.coupons.coupon import Coupon
from sections.coupons.ladder import bolt_ladder, dowel_ladder, insert_ladders, key_ladder
from sections.coupons.sample import seam_samples, wall_sample
from sections.coupons.strip import flat_strip, label_strip, overhang_fins
from sections.settings import Settings

__all__ = ["Coupon", "coupons_from_settings", "proof_from_settings"]


def coupons_from_settings(settings: Settings) -> tuple[Coupon, ...]:
    """Return every test print that is measured, for these settings."""
    return (
        length_plate(settings),
        height_tower(settings),
        dowel_ladder(settings),
        key_ladder(settings),
        bolt_ladder(settings),
        *insert_ladders(settings),
        wall_sample(settings),
        flat_strip(settings),
        overhang_fins(settings),
        label_strip(settings),
    )


def proof_from_settings(settings: Settings) -> tuple[Coupon, ...]:
    """Return the seam in small that proves the fits once they are found."""
    return seam_samples(settings)
