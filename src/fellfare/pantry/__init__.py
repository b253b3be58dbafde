"""Foods: what is in them, what can be done with them, how they keep."""
