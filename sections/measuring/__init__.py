"""An output folder read back, and the steps of its checks."""
