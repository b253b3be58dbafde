"""Many trips or recipe sweeps at once: a thin shell over the core."""
