"""What is applied to a bare section: each feature is a frozen dataclass with one build, listed in one table."""

from sections.features.table import JOINT_NAMES, AnyJoint, JointSet

__all__ = ["JOINT_NAMES", "AnyJoint", "JointSet"]
