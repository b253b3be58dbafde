"""``python -m fellfare`` is the same as ``fellfare``."""

from fellfare.cli import main

main()
