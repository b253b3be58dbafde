"""GPX, the exchange format of receivers and route planners: reading and writing.

GPX 1.0 and 1.1 (Topografix, www.topografix.com/GPX/1/0 and /1/1).
"""

from fellfare.files.gpx.reading import (
    MOST_BYTES,
    MOST_POINTS,
    Gpx,
    read_gpx,
    way_of,
)
from fellfare.files.gpx.writing import write_gpx

__all__ = ["MOST_BYTES", "MOST_POINTS", "Gpx", "read_gpx", "way_of", "write_gpx"]
