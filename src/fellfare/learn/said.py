"""What was learnt of one walker, as plain sentences; its figures are those of the next plan."""

from __future__ import annotations

from fellfare.learn.appetite import EARLY_DAYS
from fellfare.learn.belief import Belief
from fellfare.learn.bounds import ENERGY_STEP, PACE_STEP, stepped_belief
from fellfare.learn.energy import LEAST_DAYS, WATER_KG
from fellfare.learn.lessons import WalkerLesson
from fellfare.learn.next_trip import NextTrip, WalkerMoved

#: Smaller changes are none to anybody who weighs food.
_TOLD = 0.005


def said_of(lesson: WalkerLesson, next_trip: NextTrip | None = None) -> tuple[str, ...]:
    """One walker's lessons as plain sentences.

    ``next_trip`` is the trip that they correct; without it nothing is said of what is planned.
    """
    moved = None if next_trip is None else next_trip.of(lesson.walker)
    lines = _said_of_home(lesson)
    if moved is not None and next_trip is not None:
        shares_moved = next_trip.before.eating != next_trip.trip.eating
        lines += _said_of_food(
            lesson, moved, follows=next_trip.follows_appetite, shares_moved=shares_moved
        )
    elif next_trip is not None:
        lines.append(f"{lesson.walker} does not walk the next trip: nothing is corrected there.")
    if lesson.no_cut:
        lines.append(f"Nothing is cut: {lesson.no_cut}.")
    lines += _said_of_body(lesson)
    if lesson.pace is not None:
        (was, was_sd), (now, now_sd) = lesson.pace
        held = stepped_belief(was, Belief(now, now_sd), PACE_STEP)
        lines.append(
            f"Pace factor {was:.2f} (± {100 * was_sd:.0f} %) becomes {held.mean:.2f} "
            f"(± {100 * held.sd:.0f} %)" + _held_at(held.mean, now, PACE_STEP)
        )
    return (*lines, *_said_of_other(lesson, next_trip))


def _said_of_home(lesson: WalkerLesson) -> list[str]:
    if not lesson.carried_g:
        return []
    share = 100 * lesson.home_g / lesson.carried_g
    line = f"{lesson.walker} brought {share:.0f} % of the food home"
    worst = max(lesson.meals, key=lambda meal: meal.home_g)
    if worst.home_g and share >= 1:
        when = (
            f" on days 1 to {EARLY_DAYS}"
            if worst.early_home_g > 0.6 * worst.home_g
            and worst.early_carried_g < 0.8 * worst.carried_g
            else ""
        )
        line += f", mostly {worst.eating}{when}"
    return [line + "."]


def _said_of_food(
    lesson: WalkerLesson, moved: WalkerMoved, *, follows: bool, shares_moved: bool
) -> list[str]:
    believed = {meal.eating: meal for meal in lesson.meals}
    lines = []
    for meal in moved.meals:
        told = believed.get(meal.eating)
        if abs(meal.change) < _TOLD:
            continue
        line = f"Next trip's {meal.eating} {percent(meal.change)} %"
        if abs(meal.early_change - meal.late_change) >= 0.01:
            line += (
                f" ({percent(meal.early_change)} % on days 1 to {EARLY_DAYS}, "
                f"{percent(meal.late_change)} % after)"
            )
        if told is not None and abs(told.change) >= _TOLD:
            half = (told.wish.high - told.wish.low) / 2
            line += f"; what is believed: {percent(told.wish.mean)} % ± {100 * half:.0f} %"
        elif shares_moved:
            line += "; it goes with the party's food, for its share is one for all walkers"
        else:
            line += "; it goes with the whole day's food"
        lines.append(line + ".")
    if moved.before_kcal > 0:
        if lines or abs(moved.change) >= _TOLD:
            line = (
                (
                    f"All food carried: {moved.before_kcal:,.0f} kcal become "
                    f"{moved.after_kcal:,.0f} kcal ({100 * moved.change:+.1f} %)"
                )
                .replace(",", " ")
                .replace("-", "−")
            )
            alone = moved.paced_kcal / moved.before_kcal - 1.0
            if abs(alone) >= _TOLD:
                line += f", {100 * alone:+.1f} % by pace and stove alone".replace("-", "−")
            lines.append(line + ".")
        elif lesson.meals and not lesson.no_cut:
            lines.append("What was carried fitted: nothing is changed.")
    if not follows and any(abs(meal.change) >= _TOLD for meal in lesson.meals):
        lines.append(
            "The trip plans by need alone (follow_appetite = false): what was learnt of the "
            "appetite is written down and changes nothing yet."
        )
    return lines


def _said_of_body(lesson: WalkerLesson) -> list[str]:
    learnt = lesson.energy
    if lesson.lost_kg is None or learnt is None:
        return []
    line = f"Body mass changed by {-lesson.lost_kg:+.1f} kg".replace("-", "−")
    if learnt.seen is None:
        return [
            f"{line}: under {LEAST_DAYS} days water and glycogen drown what it says of the need; "
            "nothing is learnt from it."
        ]
    held = stepped_belief(learnt.before.mean, learnt.after, ENERGY_STEP, floor=bool(lesson.no_cut))
    was = f"{learnt.before.mean:.2f} ± {learnt.before.sd:.2f}"
    becomes = f"{was} becomes {held.mean:.2f} ± {held.sd:.2f}"
    lowered = learnt.after.mean < learnt.before.mean
    if learnt.water:
        return [
            f"{line}. Heavier and yet hungry: that is water (swollen feet and hands, salt), what "
            "was eaten last, or the scale, and no proof of too much food. It is weighed as that "
            f"(± {WATER_KG:g} kg): walking energy {becomes}"
            + (", not lowered for who was hungry." if lowered else ".")
        ]
    line += (
        ". Alone that would put the walking energy at "
        f"{learnt.seen.mean:.2f} ± {learnt.seen.sd:.2f} times the model; one trip says little, "
        f"so {becomes}"
    ).replace("at -", "at −")
    if lesson.no_cut and lowered:
        return [line + ": it is not lowered for who was hungry or lost much."]
    return [line + _held_at(held.mean, learnt.after.mean, ENERGY_STEP)]


def _said_of_other(lesson: WalkerLesson, next_trip: NextTrip | None) -> list[str]:
    """What another trip's document makes of it, where it begins from other figures."""
    if next_trip is None or next_trip.of(lesson.walker) is None:
        return []
    was = next(one for one in next_trip.before.walkers if one.name == lesson.walker)
    now = next(one for one in next_trip.trip.walkers if one.name == lesson.walker)
    lines = []
    if lesson.energy is not None and lesson.energy.seen is not None:
        begun = was.energy_factor, lesson.energy.before.mean
        if abs(begun[0] - begun[1]) > 1e-9:
            lines.append(
                f"The next trip's document had walking energy {was.energy_factor:.2f}; it becomes "
                f"{now.energy_factor:.2f}."
            )
    if lesson.pace is not None and abs(was.pace_factor - lesson.pace[0][0]) > 1e-9:
        lines.append(
            f"The next trip's document had pace factor {was.pace_factor:.2f}; it becomes "
            f"{now.pace_factor:.2f}."
        )
    return lines


def _held_at(held: float, believed: float, step: float) -> str:
    if abs(held - believed) < 1e-9:
        return "."
    return f": held at {100 * step:.0f} %, {believed:.2f} is believed."


def percent(share: float) -> str:
    """'+5', '−3', '0'."""
    told = f"{100 * share:+.0f}"
    return "0" if told in ("+0", "-0") else told.replace("-", "−")
