"""Naismith's rule of 1892: an hour for 5 km, and an hour more for 600 m of climb."""

from __future__ import annotations

import numpy as np

from fellfare.walk.figures import Figure


def naismith_hours(km: Figure, up_m: Figure) -> Figure:
    """Hours [h] for ``km`` on the map and ``up_m`` [m] of climb; pauses not included.

    W. W. Naismith 1892 [NAISMITH-1892], in the metric form of later handbooks (5 km/h, 600 m/h).
    """
    return km / 5.0 + up_m / 600.0


def naismith_climb_as_distance_hours(km: Figure, up_m: Figure) -> Figure:
    """Hours [h] for ``km`` on the map and ``up_m`` [m] of climb, climb counted eightfold.

    A metre of climb counts as eight of distance.
    The equivalence of Scarf (2007, from memory) [SCARF-2007], seen in a public essay.
    """
    return (km + 8.0 * up_m / 1000.0) / 5.0


def speed_m_s(grade: Figure) -> Figure:
    """Speed on the map [m/s] at a grade (fraction); downhill as on the level."""
    hours_per_km = naismith_hours(1.0, 1000.0 * np.maximum(grade, 0.0))
    return 1.0 / (3.6 * hours_per_km)
