"""What may stand in for a food, how much of it, and what changes with it?

:func:`by_form` (fresh, dried, freeze-dried of one plant or animal, at equal dry
matter), :func:`by_flavour` (published kitchen swaps with their spread),
:func:`heat_safe`, :func:`without_flame`, and :func:`for_the_wait`, which picks a
form by how long and how warm the meal lies.
"""

from fellfare.pantry.swaps.difference import Difference, difference
from fellfare.pantry.swaps.family import family_of, relatives
from fellfare.pantry.swaps.flavour import by_flavour
from fellfare.pantry.swaps.form import by_form, equal_dry_mass_g
from fellfare.pantry.swaps.swap import Swap
from fellfare.pantry.swaps.trouble import heat_safe, without_flame
from fellfare.pantry.swaps.waiting import for_the_wait

__all__ = [
    "Difference",
    "Swap",
    "by_flavour",
    "by_form",
    "difference",
    "equal_dry_mass_g",
    "family_of",
    "for_the_wait",
    "heat_safe",
    "relatives",
    "without_flame",
]
