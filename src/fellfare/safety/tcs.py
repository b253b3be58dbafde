"""Does this food need time and temperature control?  The two tables of the Food Code."""

from __future__ import annotations

from typing import Literal

from fellfare.mistake import Mistake

#: ``not-tcs`` by the interaction of pH and aw; ``assess`` = the code asks for a
#: product assessment, which here counts as needing control.
Answer = Literal["not-tcs", "assess"]

#: ``A``: heat-treated against vegetative cells AND packaged afterwards.
#: ``B``: not heat-treated, or heat-treated and not packaged: home packing.
Table = Literal["A", "B"]


def tcs(aw: float | None, ph: float | None, table: Table = "B") -> Answer:
    """Whether pH and water activity alone take a food out of control.

    Parameters
    ----------
    aw
        Water activity, 0 to 1; None = unknown, counts as the wettest.
    ph
        0 to 14; None = unknown, counts as the least acid.
    table
        ``B`` unless it was heated and then packed at a works.

    Returns
    -------
    str
        ``not-tcs`` or ``assess``.

    Raises
    ------
    Mistake
        ``water-activity-out-of-range``, ``ph-out-of-range``.

    Notes
    -----
    FDA Food Code, 1-201.10(B), Tables A and B of the definition of
    time/temperature control for safety food [FDA-FOOD-CODE], seen alike in
    Tennessee Rule 0080-04-09-.01 and 25 Texas Administrative Code 228.2.  One
    print shows '<0.92' in the first row of Table A for '<= 0.92'; this is '<='.
    The code is for food establishments; here it is a cautious yardstick.
    """
    if aw is not None and not 0.0 <= aw <= 1.0:
        raise Mistake(
            "water-activity-out-of-range",
            what=f"a water activity of {aw:g} is outside 0 to 1",
            mend="give a fraction: 60 % relative humidity is 0.60",
        )
    if ph is not None and not 0.0 <= ph <= 14.0:
        raise Mistake(
            "ph-out-of-range", what=f"a pH of {ph:g} is outside 0 to 14", mend="give 0 to 14"
        )
    aw = 1.0 if aw is None else aw
    ph = 14.0 if ph is None else ph
    return "not-tcs" if (_table_a(aw, ph) if table == "A" else _table_b(aw, ph)) else "assess"


def _table_a(aw: float, ph: float) -> bool:
    if aw <= 0.92:
        return True
    return ph <= 5.6 if aw <= 0.95 else ph <= 4.6


def _table_b(aw: float, ph: float) -> bool:
    if aw < 0.88:
        return True
    if aw <= 0.90:
        return ph <= 5.0
    return ph <= 4.6 if aw <= 0.92 else ph < 4.2
