"""What was asked and settled before the walk, so that nobody comes to harm?"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

#: What can be done with water, and whose boiling time counts: the words of
#: :mod:`fellfare.safety.water_treatment`, which stands a floor above.
Treatment = Literal["boil", "filter", "chemical", "uv"]
Agency = Literal["strictest", "cdc-advisory", "cdc-yellow-book", "epa", "health-canada", "who"]


class Care(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """Answers for the whole party; None = nobody has told."""

    #: Was everybody asked about allergies, illness and medicine?
    health_asked: bool | None = None
    #: What is done with all water that is drunk or soaked in; () = nothing.
    water_treatment: tuple[Treatment, ...] | None = None
    water_agency: Agency = "strictest"
    #: Of every source that its own [[water]] says nothing else of: cloudy; mines, fields,
    #: roads, algae or salt.
    water_cloudy: bool | None = None
    water_chemicals: bool | None = None
    #: Does anybody fly to the walk?
    flies: bool | None = None
    #: Is a raw pulse cooked on the way?
    raw_pulses: bool | None = None
