"""What the body goes over: the donor's parts that it must keep off, and its wheels."""
