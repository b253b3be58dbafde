"""What does the map say?  The track and its named places, as a file was read."""

from __future__ import annotations

from msgspec import Struct

from fellfare.mistake import Finding
from fellfare.walk.track import Place, Track


class Ground(Struct, frozen=True, kw_only=True, eq=False):
    """What the way of a trip is laid out on; empty for a table of stages."""

    track: Track | None = None
    places: tuple[Place, ...] = ()
    #: What had to be said while reading it.
    findings: tuple[Finding, ...] = ()


#: For a trip that brings its own table of stages.
NO_GROUND = Ground()
