"""What is applied to a bare section: each feature is a frozen dataclass with one build, listed in one table."""

from sections.features.table import JOINT_KINDS, AnyJoint, joints_from_settings

__all__ = ["JOINT_KINDS", "AnyJoint", "joints_from_settings"]
