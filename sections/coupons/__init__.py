"""Test prints: small parts that show how the builder's own printer makes the fits asked for."""

from sections.coupons.coupon import Ladder, Size, Trial
from sections.coupons.table import Coupon, coupons_from_settings, proof_from_settings

__all__ = ["Coupon", "Ladder", "Size", "Trial", "coupons_from_settings", "proof_from_settings"]
