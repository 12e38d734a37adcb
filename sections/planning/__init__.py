"""From body to plan: the steps other processes do, and who hands them out."""
