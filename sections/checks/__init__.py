"""Measuring what was built. A check takes built geometry and returns findings; the plan only says where to look."""
