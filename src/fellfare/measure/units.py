"""How much is a cup?  Exact constants, and whose cup it is.

Every size is an exact :class:`~fractions.Fraction` of grams or millilitres.

Sources: NIST SP 811 (2008) Appendix B and NIST HB 44 Appendix C for the US
customary and avoirdupois units; 21 CFR 101.9(b)(5)(viii) for the label units;
the UK Weights and Measures Act 1985 (gallon of 4.546 09 L) for the imperial
ones; the metric and Australian spoons and cups are their national kitchen
standards.  See [NIST-SP-811], [CFR-101.9] in ``docs/bibliography.md``.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final, Literal

#: Whose kitchen measures are meant by a bare 'cup' or 'tbsp'.
#: ``us`` US customary, ``us-label`` the rounded set of US nutrition labels,
#: ``metric`` 5/15/250 mL, ``imperial`` British, ``australian`` 5/20/250 mL.
System = Literal["us", "us-label", "metric", "imperial", "australian"]
SYSTEMS: Final[tuple[System, ...]] = ("us", "us-label", "metric", "imperial", "australian")

#: International avoirdupois pound, exact [NIST-SP-811 B.8].
POUND_G: Final = Fraction("453.59237")
OUNCE_G: Final = POUND_G / 16
#: The ounce of US nutrition labels [CFR-101.9(b)(5)(viii)].
LABEL_OUNCE_G: Final = Fraction(28)

#: One inch is 25.4 mm exactly; a US gallon is 231 cubic inches [NIST-HB-44].
CUBIC_INCH_ML: Final = Fraction("2.54") ** 3
US_GALLON_ML: Final = 231 * CUBIC_INCH_ML
#: Imperial gallon, exact.
UK_GALLON_ML: Final = Fraction("4546.09")

KILOCALORIE_KJ: Final = Fraction("4.184")
