"""Pages and an API for a browser: a thin shell over the core."""
