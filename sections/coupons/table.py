"""The table of test prints. A new one is one new function and one line here."""

from __future__ import annotations

from sections.coupons.coupon import Coupon, Hole
from sections.coupons.ladder import bolt_ladder, dowel_ladder, key_ladder
from sections.coupons.sample import seam_samples, wall_sample
from sections.settings import Settings

__all__ = ["Coupon", "Hole", "coupons_from_settings"]


def coupons_from_settings(settings: Settings) -> tuple[Coupon, ...]:
    """Return every test print for these settings."""
    return (
        dowel_ladder(settings),
        key_ladder(settings),
        bolt_ladder(settings),
        *seam_samples(settings),
        wall_sample(settings),
    )
