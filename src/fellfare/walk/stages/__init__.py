"""How does the walk fall into days?

From a track: :func:`stages_at_camps`, :func:`stages_by_hours`, or
:func:`stages_cut_at` any points.  From a plain table: :func:`stages_from_table`.
All give the same :class:`Stage`.
"""

from fellfare.walk.stages.cutting import (
    Cut,
    cuts_at_places,
    stages_at_camps,
    stages_by_hours,
    stages_cut_at,
)
from fellfare.walk.stages.eating import Clock, Eaten, EatingTime, eaten_on
from fellfare.walk.stages.snapping import Pass, passes_of
from fellfare.walk.stages.stage import Pace, Stage, Stages, Stop, legs_of_stages
from fellfare.walk.stages.table import StageRow, stages_from_table

__all__ = [
    "Clock",
    "Cut",
    "Eaten",
    "EatingTime",
    "Pace",
    "Pass",
    "Stage",
    "StageRow",
    "Stages",
    "Stop",
    "cuts_at_places",
    "eaten_on",
    "legs_of_stages",
    "passes_of",
    "stages_at_camps",
    "stages_by_hours",
    "stages_cut_at",
    "stages_from_table",
]
