"""What do the trade's tables say?  The second way, beside the models.

Bulk rationing goes by mass per person and day, split into food groups by
*ration factors*.  The factors are **pounds per person-day**, never per cent: a
student once read .24 as 24 %, and the columns would add up to 150 %.
"""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from fellfare.measure.units import POUND_G
from fellfare.mistake import Mistake
from fellfare.walk.resting.body import Sex, check_body

_DECK: Final = "college outdoor-education slide deck (Rumble, Oliver & Finke); common practice"
_POUND_G: Final = float(POUND_G)


class RuleOfThumb(Struct, frozen=True, kw_only=True):
    """One published figure for a person-day; None = the source does not say."""

    name: str
    #: Food mass [g per person-day], lowest and highest.
    mass_g: tuple[float, float] | None = None
    #: Energy [kcal per person-day], lowest and highest.
    energy_kcal: tuple[float, float] | None = None
    source: str = "common practice, no source"


def _pounds(low: float, high: float) -> tuple[float, float]:
    return (low * _POUND_G, high * _POUND_G)


#: Mass and energy of a person-day by season and effort, as the trade prints them.
RULES: Final = (
    RuleOfThumb(name="hot days, warm nights", mass_g=_pounds(1.5, 1.5),
                energy_kcal=(2500, 3000), source=_DECK),
    RuleOfThumb(name="warm or cool days and nights, full packs", mass_g=_pounds(1.75, 2.0),
                energy_kcal=(3000, 3500), source=_DECK),
    RuleOfThumb(name="cool days, cold nights, full packs or skis", mass_g=_pounds(2.0, 2.25),
                energy_kcal=(3500, 4500), source=_DECK),
    RuleOfThumb(name="cold days, extremely cold nights, sleds, mountains",
                mass_g=_pounds(2.5, 2.5), energy_kcal=(4000, 5000), source=_DECK),
    RuleOfThumb(name="youth groups, three meals and snacks", mass_g=_pounds(1.3, 1.5),
                energy_kcal=(3000, 3000), source="youth-group menu plan; common practice"),
    RuleOfThumb(name="long trips on foot, tramping club", mass_g=(700, 700),
                source="club food weights; common practice"),
    RuleOfThumb(name="bushwalking clubs, careful to typical", mass_g=(700, 1000),
                source="several club pages; common practice"),
    RuleOfThumb(name="bushwalking in wet, cold and wind", energy_kcal=(12_000 / 4.184,
                20_000 / 4.184), source="several club pages; common practice"),
)  # fmt: skip


def rule_named(name: str) -> RuleOfThumb:
    """The rule of thumb with this name.

    Raises
    ------
    Mistake
        ``unknown-ration-rule``.
    """
    for rule in RULES:
        if rule.name == name:
            return rule
    raise Mistake(
        "unknown-ration-rule",
        what=f"no ration rule is called {name!r}",
        mend="choose one of: " + "; ".join(rule.name for rule in RULES),
    )


#: The tables by season, and above which mean warmth of days and nights they are taken here
#: [°C]: what 'hot' and 'cold' mean is not said in them (judgement).
_SEASONS: Final = tuple(rule.name for rule in RULES[:4])
_HOT_DAY_C, _WARM_NIGHT_C, _COLD_NIGHT_C, _BITTER_NIGHT_C = 22.0, 12.0, 0.0, -12.0


def season_rule(day_c: float | None, night_c: float | None) -> RuleOfThumb:
    """The table for this mean warmth of days and nights [°C]; unknown = neither hot nor cold."""
    at = 1
    if night_c is not None and night_c <= _BITTER_NIGHT_C:
        at = 3
    elif night_c is not None and night_c <= _COLD_NIGHT_C:
        at = 2
    elif None not in (day_c, night_c) and (day_c or 0) >= _HOT_DAY_C:
        at = 0 if (night_c or 0) >= _WARM_NIGHT_C else 1
    return rule_named(_SEASONS[at])


class RationFactor(Struct, frozen=True, kw_only=True):
    """How much of one food group belongs to a person-day."""

    group: str
    #: Pounds per person-day; None = not legible in any copy.
    lb_per_person_day: float | None

    @property
    def g_per_person_day(self) -> float | None:
        """The same in grams."""
        return None if self.lb_per_person_day is None else self.lb_per_person_day * _POUND_G


#: Column heads of the factor table: the whole ration [lb per person-day].
COLUMNS: Final = (1.5, 1.75, 2.0, 2.25, 2.5)

_FACTORS: Final[tuple[tuple[str, tuple[float | None, ...]], ...]] = (
    ("breakfast", (0.24, 0.28, 0.33, 0.35, 0.38)),
    ("dinner", (0.27, 0.32, 0.35, 0.37, 0.40)),
    ("cheese", (0.19, 0.22, 0.24, 0.26, 0.28)),
    ("trail food", (0.32, 0.35, 0.37, 0.45, 0.49)),
    ("flour and baking", (0.11, 0.13, None, None, None)),
    ("sugar and fruit drinks", (0.10, 0.12, None, None, None)),
    ("soups, bases, desserts", (0.06, 0.09, None, None, None)),
    ("milk, eggs, margarine, cocoa", (0.21, 0.24, None, None, None)),
)


def ration_factors(lb_per_person_day: float) -> tuple[RationFactor, ...]:
    """The factors of one column: 1.5, 1.75, 2, 2.25 or 2.5 **pounds** per person-day.

    Raises
    ------
    Mistake
        ``ration-not-in-pounds`` for anything else; a per cent figure and a mass
        in grams are told apart in the words of the mistake.
    """
    if lb_per_person_day not in COLUMNS:
        raise Mistake(
            "ration-not-in-pounds",
            what=f"{lb_per_person_day:g} is no column of the ration factors",
            mend="give pounds per person-day: 1.5, 1.75, 2, 2.25 or 2.5 (not grams, not per cent)",
        )
    column = COLUMNS.index(lb_per_person_day)
    return tuple(
        RationFactor(group=group, lb_per_person_day=row[column]) for group, row in _FACTORS
    )


def bulk_mass_g(g_per_person_day: float, people: int, days: float) -> float:
    """People x days x mass per person-day [g].

    Raises
    ------
    Mistake
        ``ration-out-of-range`` outside 50 to 2 000 g, 1 to 10 000 people, above
        0 to 1 000 days.
    """
    good = 50 <= g_per_person_day <= 2000 and 1 <= people <= 10_000 and 0 < days <= 1000
    if not good:
        raise Mistake(
            "ration-out-of-range",
            what=f"{people} people, {days:g} days and {g_per_person_day:g} g a day do not add up",
            mend="give grams per person-day (one pound is 454 g), people and days",
        )
    return g_per_person_day * people * days


def youth_rule_kcal(miles: float, climb_ft: float) -> float:
    """2400 + 120 per mile + 600 per 3000 ft of climb [kcal/day], for a body of 160 lb.

    A youth group's menu plan: 10 miles and 3000 ft make 4200.  Common practice.
    """
    return 2400.0 + 120.0 * miles + 600.0 * climb_ft / 3000.0


def club_energy_kj(
    *, sex: Sex, age_y: float, height_cm: float, mass_kg: float, activity_factor: float
) -> float:
    """Energy of a day [kJ] by a bushwalking club's formula: resting x factor x 4.2.

    Harris & Benedict 1919 [HARRIS-1919] with coefficients of three figures, recovered from
    the club's two worked answers (12 140 and 9 540 kJ).  The printed formula
    has '/' in place of two minus signs; as printed the man would need 8 063 kJ.
    ``activity_factor``: 1.375 very easy, 1.55 moderate, 1.725 very active, 1.9
    extreme.

    Raises
    ------
    Mistake
        ``activity-factor-out-of-range`` outside 1 to 3, and those of
        :func:`~fellfare.walk.resting.body.check_body`.
    """
    check_body(sex=sex, age_y=age_y, height_cm=height_cm, mass_kg=mass_kg)
    if not 1.0 <= activity_factor <= 3.0:
        raise Mistake(
            "activity-factor-out-of-range",
            what=f"activity factor {activity_factor:g} is outside 1 to 3",
            mend="give 1.375 (very easy) to 1.9 (extreme)",
        )
    if sex == "male":
        resting = 66.47 + 13.75 * mass_kg + 5.0 * height_cm - 6.76 * age_y
    else:
        resting = 655.1 + 9.56 * mass_kg + 1.85 * height_cm - 4.68 * age_y
    return 4.2 * activity_factor * resting


class BesideRule(Struct, frozen=True, kw_only=True):
    """A plan's person-day held beside one rule of thumb: 0 = within, else how far off."""

    rule: str
    #: Grams above (+) or below (-) the rule's range; None = the rule gives no mass.
    mass_off_g: float | None
    #: Kilocalories above or below; None = the rule gives no energy.
    energy_off_kcal: float | None
    source: str


def beside_rules(
    *, g_per_person_day: float | None, kcal_per_person_day: float | None
) -> tuple[BesideRule, ...]:
    """Hold a plan beside every rule of :data:`RULES`; an unknown figure stays unknown."""
    return tuple(
        BesideRule(
            rule=rule.name,
            mass_off_g=_off(g_per_person_day, rule.mass_g),
            energy_off_kcal=_off(kcal_per_person_day, rule.energy_kcal),
            source=rule.source,
        )
        for rule in RULES
    )


def _off(value: float | None, limits: tuple[float, float] | None) -> float | None:
    if value is None or limits is None:
        return None
    low, high = limits
    return max(value - high, 0.0) - max(low - value, 0.0)
