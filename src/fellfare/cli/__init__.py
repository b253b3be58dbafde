"""Commands: thin words around the core."""

from fellfare.cli.main import main

__all__ = ["main"]
