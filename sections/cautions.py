"""What is said wherever work that can hurt someone is set off. Local codes and licensed practice decide."""

from __future__ import annotations

CAUTIONS = (
    "Printing: hot nozzle and bed, fumes; ventilate and do not leave a printer running unwatched.",
    "Finishing: sanding dust, resin and solvents harm lungs, skin and eyes; wear what their data sheets ask for.",
    "Printed sections are a form to build from. They are not proved for structure, impact or heat: road use, "
    "mounting and lifting are for local codes and licensed practice to decide.",
)

JIG_CAUTION = (
    "Jig: cutting sheet makes chips, dust or laser fumes. It is not proved for any load: lift with help, keep hands "
    "from between, and let nobody lean on a body that stands on it. Printed ones creep and soften in heat."
)

# The same at length, by the work: in every output folder and on every page.
AT_LENGTH = (
    CAUTIONS[0],
    "Inserts: a soldering iron burns skin and starts fires; plastic fumes where it melts. Hold the part in a vice.",
    "Adhesives and resin: gloves, glasses, fresh air; cure in small amounts, a full pot gets hot. Read the data sheet.",
    "Sanding and cutting: dust of plastic, filler and fibre harms lungs, skin and eyes: mask, glasses, extraction.",
    "Laser cutting: never PVC or vinyl, which give off chlorine; MDF and plywood smoke and burn: never unattended.",
    "Drill guides and clamps: clamp guide and flange to something solid before drilling, never hold them by hand.",
    "Glass: edges cut, urethane's vapours harm. Glazing on the road is for local codes and licensed practice.",
    "Hardpoints: the bolt's thread and the plastic about it were estimated; wall, fatigue, heat and impact were not.",
    JIG_CAUTION,
    CAUTIONS[2],
)
CAUTIONS_NAME = "CAUTIONS.txt"


def cautions_text() -> str:
    """Return the cautions at length, a line each."""
    return "\n".join(AT_LENGTH) + "\n"
