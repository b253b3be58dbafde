"""How is a step told?  One sentence with water and minutes, then the author's own words.

The sentence is written so that ``fellfare read`` understands act, water and time again; of
the author's words that cannot be promised.
"""

from __future__ import annotations

from typing import Final

from fellfare.files.publish.amounts import Measures, water_text
from fellfare.files.publish.names import spoken_name
from fellfare.measure.printing import print_temperature
from fellfare.mistake import Mistake
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.method_line import act_of, clauses
from fellfare.recipe.sheet import Sheet
from fellfare.recipe.watering import WAY, WateredStep

_OPENING: Final = {
    "soak": "Soak", "steep": "Steep", "boil": "Boil", "simmer": "Simmer", "fry": "Fry",
    "toast": "Toast", "mix": "Mix", "rest": "Rest", "heat": "Heat", "drain": "Drain",
    "bake": "Bake", "dry": "Dry", "pack": "Pack", "serve": "Serve",
}  # fmt: skip
#: The reader takes lines of 500 characters; water and time want some room.
_MOST_NAMES: Final = 380


def step_text(step: WateredStep, sheet: Sheet, pantry: Pantry, measures: Measures) -> str:
    """One step as a cook reads it."""
    own = step.text.strip()
    if not own:
        return short_step(step, sheet, pantry, measures)
    if step.act in WAY or step.water_ml is not None:
        return f"{short_step(step, sheet, pantry, measures)} {_ended(own)}"
    if not _says_what_to_do(own):  # 'Oil, sumac, walnuts.'
        own = f"{_OPENING[step.act]}: {own}"
    time = _time(step)
    return f"{_ended(own)} ({time})" if time else _ended(own)


def short_step(
    step: WateredStep, sheet: Sheet, pantry: Pantry, measures: Measures, *, by_food: bool = False
) -> str:
    """The step in one sentence, without the author's words.

    ``by_food`` names the foods that go in instead of their bags, for readers that do not
    know the bags.
    """
    what = _foods(step, sheet, pantry) if by_food else _what(step, sheet, pantry)
    water = _water(step, measures)
    time = _time(step)
    if step.act == "steep" and water:
        text = f"Pour {water} on {what or 'it'}, cover"
        text += f" and leave for {time}" if time else ""
    else:
        text = _OPENING[step.act] + (f" {what}" if what else "")
        if water:
            text += f" {'in' if step.act in WAY else 'with'} {water}"
        text += f" for {time}" if time else ""
    if step.step.at_c is not None:
        text += f" at {_temperature(step.step.at_c, measures)}"
    if step.act in WAY and step.minutes is None:
        text += "; time not known, see the pack"
    if step.water_unknown:
        text += "; amount of water not known, see the pack"
    return text + "." + (" Pour the water away." if step.step.discard_water else "")


def _says_what_to_do(text: str) -> bool:
    try:
        act_of((clauses(text) or [""])[0])
    except Mistake:
        return False
    return True


def _what(step: WateredStep, sheet: Sheet, pantry: Pantry) -> str:
    """'bags "pot" and "oil"': bags in quotation marks, foods by their names."""
    bags = {line.line.bag for line in sheet.lines if line.line.bag}
    foods = {line.food.id: line.food for line in sheet.lines}
    named = [f'"{name}"' for name in step.bags if name in bags]
    if named:
        named[0] = f"bag{'s' * (len(named) > 1)} {named[0]}"
    single = [name for name in step.bags if name not in bags and name in foods]
    return _served(step, sheet, [*(spoken_name(foods[name], pantry) for name in single), *named])


def _foods(step: WateredStep, sheet: Sheet, pantry: Pantry) -> str:
    if not step.bags:
        return ""  # it acts on what is in the pot so far
    foods = {line.food.id: line.food for line in sheet.lines}
    names = [spoken_name(foods[name], pantry) for name in dict.fromkeys(step.foods)]
    what = _served(step, sheet, names)
    return what if len(what) <= _MOST_NAMES else _what(step, sheet, pantry)


def _served(step: WateredStep, sheet: Sheet, names: list[str]) -> str:
    *most, last = names or [""]
    what = f"{', '.join(most)} and {last}" if most else last
    some = len(step.foods) < len(sheet.lines)
    return f"with {what}" if what and some and step.act == "serve" else what


def _water(step: WateredStep, measures: Measures) -> str:
    if step.water_ml is None:
        return ""
    kind = {"soak": "cold water", "steep": "boiling water"}.get(step.act, "water")
    if step.step.water_treated and step.act != "steep":
        kind = f"treated {kind}"
    about = "about " if step.water_trust != "written" else ""
    return about + water_text(step.water_ml, measures, kind)


def _time(step: WateredStep) -> str:
    if step.minutes is None:
        return ""
    about = "about " if step.minutes_trust != "written" else ""
    if step.most_minutes is not None and step.most_minutes > step.minutes:
        return f"{about}{step.minutes:.4g} to {step.most_minutes:.4g} min"
    return about + minutes_text(step.minutes)


def minutes_text(minutes: float) -> str:
    """'75 min'; from two hours on '2 h 30 min'."""
    whole = round(minutes)
    if whole < 120 or abs(minutes - whole) > 1e-6:
        return f"{minutes:.4g} min"
    hours, rest = divmod(whole, 60)
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def _temperature(at_c: float, measures: Measures) -> str:
    metric, us = print_temperature(at_c, "metric"), print_temperature(at_c, "us")
    return {"metric": metric, "us": us, "both": f"{metric} ({us})"}[measures]


def _ended(text: str) -> str:
    return text if text[-1] in ".!?…" else text + "."
