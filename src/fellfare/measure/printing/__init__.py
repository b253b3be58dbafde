"""How is it said in the cook's own measures?  Text that can be read back.

Each text is inside the grammar of :func:`fellfare.measure.read_amount`, so what
is printed can be typed in again; and each carries what it says exactly and how
far that is from what was asked, so that a sheet can show the rounding.

House rules, chosen as a cook would and not by any norm:

* grams: whole from 10 g, tenths below, milligrams below 0.1 g (no kitchen scale
  shows them: ``measurable`` is False); kilograms from 1000 g, in steps of 10 g,
  and of 100 g from 10 kg.
* ounces: tenths, hundredths below one; from 16 oz pounds and ounces, except with
  the label ounce of 28 g, which does not go into a pound.
* millilitres: tenths below 10, whole below 50, then fives; litres from 1000 ml
  in steps of 10 ml, and of 100 ml from 10 l.
* spoons and cups: see :mod:`fellfare.measure.printing.spoons`.
"""

from __future__ import annotations

from fellfare.measure.printing.amount_text import print_amount
from fellfare.measure.printing.figures import Printed, number_text
from fellfare.measure.printing.plain import (
    print_distance,
    print_energy,
    print_height,
    print_temperature,
)
from fellfare.measure.printing.scale import print_mass
from fellfare.measure.printing.spoons import print_volume

__all__ = [
    "Printed",
    "number_text",
    "print_amount",
    "print_distance",
    "print_energy",
    "print_height",
    "print_mass",
    "print_temperature",
    "print_volume",
]
