"""Tolerances that several rooms judge by, each with its reason. What one file alone uses stands in that file."""

from __future__ import annotations

# mm; so near to the surface it was cut by, a built face lies on it. Walls are made simpler by 0.01 mm and print files
# hold 32-bit numbers, some 1e-5 mm off on a body; the closest fit that is asked is 0.05.
ON_SURFACE = 0.02
# mm; corners of a built part lie this near to where they were drawn: a print file that would else be folded has corners
# up to 0.005 apart made one. Held to 0.001, a seam's face lost 36 mm2 for one such corner, and a bolt its edge.
SETTLED = 0.006
# mm3; what two parts share, put to one another, and still go past: a ball of half a millimetre. Two faces that only
# touch share some 1e-3 of rounding.
IN_THE_WAY = 0.05
# mm3; the same for what is slid on or in by hand with play on all sides: jigs, drill guides, nuts in their channels.
IN_THE_WAY_WITH_PLAY = 1.0
