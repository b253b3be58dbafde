"""Which boxes and shops to use, and which to walk past?"""

from fellfare.menu.resupply.choosing import choose_stops, loads_g, money
from fellfare.menu.resupply.stops import Choice, Resupply, Stop, Worth

__all__ = ["Choice", "Resupply", "Stop", "Worth", "choose_stops", "loads_g", "money"]
