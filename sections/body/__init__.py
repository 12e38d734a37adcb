"""The body: read or computed, brought into the vehicle frame, proved closed and sound, with its openings."""

from sections.body.body import Body, OpeningSolid
from sections.body.foreign import noting_files
from sections.body.load import body_bounds, load_body
from sections.body.misplaced import seams_near_ends

__all__ = ["Body", "OpeningSolid", "body_bounds", "load_body", "noting_files", "seams_near_ends"]
