"""From the plan to the built parts: bare section, features applied, settled on the bed."""
