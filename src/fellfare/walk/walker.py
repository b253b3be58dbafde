"""Who walks?  Body, pack, pace, appetite and what must not be eaten."""

from __future__ import annotations

from typing import Final, Literal, get_args

from msgspec import Struct

from fellfare.mistake import Mistake, Mistakes
from fellfare.pantry.food import Allergen
from fellfare.walk.resting.body import Sex, body_mistakes

#: What somebody leaves out for good; allergies are told apart by agent.
Diet = Literal["vegetarian", "vegan", "pescetarian", "no-pork", "no-beef", "no-alcohol"]

#: Why an illness from food, or a bad day's energy, would hit this one harder.
HighRisk = Literal[
    "pregnant", "breastfeeding", "young-child", "older-adult", "weak-immunity",
    "diabetes", "kidney", "heart", "eating-disorder",
]  # fmt: skip


class AppetiteStep(Struct, frozen=True, kw_only=True):
    """From this day on, this share of the usual is eaten."""

    from_day: int
    share: float


#: Common practice, no source beyond it: little hunger at first, much later on.
#: Sources put the start of 'hiker hunger' anywhere from day 4 to four weeks, so
#: it is a curve to be learnt, not a constant.
USUAL_APPETITE: Final = (
    AppetiteStep(from_day=1, share=0.90),
    AppetiteStep(from_day=4, share=1.00),
    AppetiteStep(from_day=8, share=1.10),
    AppetiteStep(from_day=15, share=1.20),
)


class Walker(Struct, frozen=True, kw_only=True):
    """One walker of the party.

    Raises
    ------
    Mistake
        One, or :class:`~fellfare.mistake.Mistakes` with all:
        ``walker-without-name``, ``unknown-sex``, ``age-out-of-range``,
        ``height-out-of-range``, ``body-mass-out-of-range``,
        ``pack-out-of-range``, ``pace-out-of-range``,
        ``energy-factor-out-of-range``, ``capacity-out-of-range``,
        ``appetite-out-of-range``, ``unknown-diet``, ``unknown-allergen``,
        ``unknown-high-risk``.
    """

    name: str
    #: 'female' or 'male': the published equations know only these two; take the
    #: one that fits the body better.
    sex: Sex
    #: Age [years], 5 to 100.
    age_y: float
    #: Height [cm].
    height_cm: float
    #: Body mass without clothes or pack [kg].
    mass_kg: float
    #: Everything carried or worn except food, water and what is shared [kg].
    base_pack_kg: float
    #: Own pace over that of the median hiker, and the doubt about it (log units).
    pace_factor: float = 1.0
    pace_factor_sd: float = 0.20
    #: Own walking energy over the model's.
    energy_factor: float = 1.0
    #: Doubt about that factor; None = nothing learnt yet: the model's own
    #: published error stands instead.
    energy_factor_sd: float | None = None
    #: Greatest oxygen uptake [mL/kg/min]; None = not known, a fit adult's is assumed.
    capacity_ml_per_kg_min: float | None = None
    #: Share of the usual that is eaten, by day; first entry from day 1.
    appetite: tuple[AppetiteStep, ...] = USUAL_APPETITE
    diets: tuple[Diet, ...] = ()
    #: Allergenic agents that must not be eaten.
    avoids: tuple[Allergen, ...] = ()
    high_risk: tuple[HighRisk, ...] = ()

    def __post_init__(self) -> None:
        found = [*_person_mistakes(self), *_table_mistakes(self)]
        name = self.name.strip() or "walker"
        placed = tuple(mistake.at(name) for mistake in found)
        if len(placed) == 1:
            raise placed[0]
        if placed:
            raise Mistakes(placed)

    def appetite_on(self, day: int) -> float:
        """Share of the usual that is eaten on this day of the walk (1 = first)."""
        return next(s.share for s in reversed(self.appetite) if s.from_day <= max(day, 1))


def _person_mistakes(walker: Walker) -> list[Mistake]:
    found = list(
        body_mistakes(
            sex=walker.sex,
            age_y=walker.age_y,
            height_cm=walker.height_cm,
            mass_kg=walker.mass_kg,
        )
    )
    if not walker.name.strip():
        found.insert(0, Mistake("walker-without-name", "a walker has no name",
                                "give everybody a name of their own", "name"))  # fmt: skip
    bounds = (
        ("base_pack_kg", walker.base_pack_kg, 0.0, 60.0, "pack-out-of-range",
         "give the pack without food and water in kg"),
        ("pace_factor", walker.pace_factor, 0.3, 2.0, "pace-out-of-range",
         "1 is the median hiker; give 0.3 to 2"),
        ("pace_factor_sd", walker.pace_factor_sd, 0.0, 1.0, "pace-out-of-range",
         "give 0 (known) to 1; 0.20 when nothing is known"),
        ("energy_factor", walker.energy_factor, 0.5, 2.0, "energy-factor-out-of-range",
         "1 is the model; give 0.5 to 2"),
        ("energy_factor_sd", walker.energy_factor_sd, 0.0, 0.5, "energy-factor-out-of-range",
         "give 0 to 0.5, or leave it out when nothing was learnt"),
        ("capacity_ml_per_kg_min", walker.capacity_ml_per_kg_min, 15.0, 90.0,
         "capacity-out-of-range", "give 15 to 90 mL/kg/min, or leave it out"),
    )  # fmt: skip
    found.extend(
        Mistake(code, f"{field} {value:g} is outside {least:g} to {most:g}", mend, field)
        for field, value, least, most, code, mend in bounds
        if value is not None and not least <= value <= most
    )
    return found


def _table_mistakes(walker: Walker) -> list[Mistake]:
    found = []
    days = [step.from_day for step in walker.appetite]
    good = all(0.2 <= step.share <= 2.0 for step in walker.appetite)
    if not good or not days or days[0] != 1 or days != sorted(set(days)):
        found.append(
            Mistake(
                "appetite-out-of-range",
                "the appetite curve does not hold",
                "begin with day 1, go up in days, give shares of 0.2 to 2",
                "appetite",
            )
        )
    lists: tuple[tuple[str, tuple[str, ...], tuple[str, ...], str], ...] = (
        ("diets", walker.diets, get_args(Diet), "unknown-diet"),
        ("avoids", walker.avoids, get_args(Allergen), "unknown-allergen"),
        ("high_risk", walker.high_risk, get_args(HighRisk), "unknown-high-risk"),
    )
    for field, given, known, code in lists:
        found.extend(
            Mistake(code, f"{word!r} is not known", "choose from " + ", ".join(known), field)
            for word in given
            if word not in known
        )
    return found
