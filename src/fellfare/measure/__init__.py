"""Amounts: what a cook writes, read strictly, and printed back."""

from fellfare.measure.amount import Amount, Fill, Size
from fellfare.measure.printing import (
    Printed,
    print_amount,
    print_distance,
    print_energy,
    print_height,
    print_mass,
    print_temperature,
    print_volume,
)
from fellfare.measure.reading import read_amount, read_leading_amount
from fellfare.measure.units import PACKS, SYSTEMS, UNITS, Kind, System, Unit

__all__ = [
    "PACKS",
    "SYSTEMS",
    "UNITS",
    "Amount",
    "Fill",
    "Kind",
    "Printed",
    "Size",
    "System",
    "Unit",
    "print_amount",
    "print_distance",
    "print_energy",
    "print_height",
    "print_mass",
    "print_temperature",
    "print_volume",
    "read_amount",
    "read_leading_amount",
]
