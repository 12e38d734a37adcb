"""The parameter file: read, merged, validated at the door, frozen."""

from sections.settings.load import load_settings
from sections.settings.model import Settings

__all__ = ["Settings", "load_settings"]
