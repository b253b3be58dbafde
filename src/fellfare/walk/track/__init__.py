"""Where does the walk go, and how far is it?

A :class:`Track` is what a receiver or a route planner wrote down, made fit to
compute with by :func:`make_track`: finite coordinates, no empty segments,
elevation and time either whole or absent.  What had to be mended is said in
findings.
"""

from fellfare.walk.track.geodesic import distances_m
from fellfare.walk.track.mend import make_track
from fellfare.walk.track.odd import Odd, odd_findings, odd_stretches, without
from fellfare.walk.track.points import (
    BRIDGE_M,
    Along,
    Place,
    Track,
    along,
    joined,
    reversed_track,
    steps_m,
)

__all__ = [
    "BRIDGE_M",
    "Along",
    "Odd",
    "Place",
    "Track",
    "along",
    "distances_m",
    "joined",
    "make_track",
    "odd_findings",
    "odd_stretches",
    "reversed_track",
    "steps_m",
    "without",
]
