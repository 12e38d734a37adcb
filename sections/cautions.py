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
    "from between, and let nobody lean on a body that stands on it."
)
