"""Texts that are nearly right: grown from a small grammar, then hurt a little.

Plain random bytes are refused at the first letter and try nothing.  Everything here comes
from one seeded generator, so that a case can be had again from its number.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from random import Random

NUMBERS = """0|1|2|90|1/2|1 3/4|½|1½|0.5|1,5|1 000|1e9|1/0|-3|٣|999999999999|0.0000001|NaN|inf|1-2
2 to 3|3 x 50""".replace("\n", "|").split("|")
UNITS = """g|kg|oz|lb|ml|dl|l|cup|cups|tbsp|tsp|T|t|c|fl oz|clove|cloves|piece|packet|pinch|handful
stick|""".replace("\n", "|").split("|")
FOODS = """bulgur|couscous|olive oil|tomato powder|red lentils|walnuts|salt|milk powder|chicken
onion, finely chopped|moon dust|crème fraîche""".replace("\n", "|").split("|")
TAILS = ["", "", "(70 g)", "to taste", "or more", "heaped", "chopped", "optional", "/ person"]
TAILS += ["🥕", "\u202eabc", "a" * 300]
ACTS = ["Soak for 20 minutes.", "Pour on 250 ml boiling water, rest 10 min.", "Boil for 1 hour.",
        "Do not boil.", "Stir in the oil.", "Simmer, covered, until soft.", "Serve."]  # fmt: skip
SPLINTERS = ["\x00", "\ufeff", "\r", "\t", "\\", '"', "'", "[", "]", "{", "}", "<", ">", "&",
             "=", ",", ".", "%", "-", "½", "é", "漢", "\u200b", "1" * 40, "\n\n", "#"]  # fmt: skip


def hurt(text: str, rng: Random) -> str:
    """A few letters doubled, dropped, changed or thrown in."""
    for _ in range(rng.choice((0, 0, 1, 1, 2, 5))):
        at = rng.randrange(len(text) + 1)
        kind = rng.randrange(4)
        if kind == 0:
            text = text[:at] + rng.choice(SPLINTERS) + text[at:]
        elif kind == 1:
            text = text[:at] + text[at + rng.randrange(1, 9) :]
        elif kind == 2:
            end = at + rng.randrange(1, 40)
            text = text[:end] + text[at:end] + text[end:]
        else:
            other = rng.randrange(len(text) + 1)
            text = text[: min(at, other)] + text[max(at, other) :]
    return text


def amount(rng: Random) -> str:
    """'1 3/4 oz (50 g)' and its broken cousins."""
    one = f"{rng.choice(NUMBERS)} {rng.choice(UNITS)}".strip()
    if rng.random() < 0.3:
        one += f" ({rng.choice(NUMBERS)} {rng.choice(UNITS)})"
    if rng.random() < 0.2:
        one = f"{one} {rng.choice(TAILS)}"
    return hurt(one, rng)


def pasted(rng: Random) -> str:
    """A title, some lines, some steps."""
    lines = [rng.choice(["Evening pot", "Porridge", "", "For 4 people", "Soup (serves 2)"])]
    lines += [
        " ".join(rng.choice(words) for words in (NUMBERS, UNITS, FOODS, TAILS))
        for _ in range(rng.randrange(0, 7))
    ]
    lines.append("")
    lines += [rng.choice(ACTS) for _ in range(rng.randrange(0, 4))]
    return hurt("\n".join(lines), rng)


def mostly(usual: str, odd: list[str], rng: Random, chance: float = 0.05) -> str:
    """The usual word, seldom an odd one."""
    return rng.choice(odd) if rng.random() < chance else usual


IDS = ["bulgur", "couscous", "olive-oil", "tomato-powder", "red-lentils", "salt", "milk-powder"]


def recipe_toml(rng: Random) -> str:
    """A recipe document."""
    parts = [f"title = {mostly(json.dumps('Pot'), [json.dumps(''), json.dumps('x' * 500)], rng)}"]
    parts.append(f"serves = {mostly('2', ['0', '-1', '1.5', '99999', 'true'], rng)}")
    if rng.random() < 0.2:
        parts.append(f"hold_minutes = {rng.choice(['45', '90', '-1', 'nan', 'inf', '1e300'])}")
    bags = []
    for _ in range(rng.randrange(1, 5)):
        bags.append(rng.choice(["pot", "oil"]))
        parts.append("[[line]]")
        parts.append(f"food = {json.dumps(mostly(rng.choice(IDS), ['moss', '', 'Salt'], rng))}")
        known = rng.choice(["90 g", "1 3/4 oz", "12.5 g", "3 oz (85 g)"])
        parts.append(f"amount = {json.dumps(mostly(known, [amount(rng)], rng, 0.2))}")
        parts.append(f'bag = "{bags[-1]}"')
    for _ in range(rng.randrange(0, 3)):
        parts.append("[[step]]")
        act = rng.choice(["soak", "steep", "boil", "serve", "toast"])
        parts.append(f'act = "{mostly(act, ["fly"], rng)}"')
        parts.append(f'bags = ["{mostly(rng.choice(bags), ["nowhere", "salt"], rng)}"]')
        if rng.random() < 0.5:
            parts.append(f"water = {json.dumps(mostly('200 ml', [amount(rng)], rng, 0.2))}")
        if rng.random() < 0.5:
            parts.append(f"minutes = {mostly('10', ['0', '-5', 'nan', '1e12'], rng)}")
    text = "\n".join(parts) + "\n"
    return hurt(text, rng) if rng.random() < 0.5 else text


def trip_toml(rng: Random) -> str:
    """A trip document over a table of stages."""
    odd = ["0", "1", "12", "-4", "1e6", "nan", "0.5", "999", "'x'"]
    parts = ['title = "Walk"', "[walk]", f"start_hour = {mostly('9.5', odd, rng)}"]
    names = ["Ann", "Ben"][: rng.randrange(1, 3)]
    for name in names:
        parts.append("[[walker]]")
        parts.append(f"name = {mostly(json.dumps(name), [json.dumps('Ann'), json.dumps('')], rng)}")
        parts.append(f'sex = "{mostly(rng.choice(["female", "male"]), ["other"], rng)}"')
        parts += [
            f"{key} = {mostly(usual, odd, rng, 0.03)}"
            for key, usual in (
                ("age_y", "40"),
                ("height_cm", "170"),
                ("mass_kg", "65"),
                ("base_pack_kg", "6"),
            )
        ]
    for _ in range(rng.randrange(1, 5)):
        parts.append("[[stage]]")
        parts += [
            f"{key} = {mostly(usual, odd, rng, 0.03)}"
            for key, usual in (("distance_m", "15000"), ("ascent_m", "600"), ("descent_m", "500"))
        ]
    if rng.random() < 0.6:
        parts.append("[[kitchen]]")
        parts.append(f"walkers = {json.dumps(names)}")
        parts.append(f'stove = "{mostly("gas-screened", ["sun"], rng)}"')
        parts.append('fuel = "isobutane"')
    text = "\n".join(parts) + "\n"
    return hurt(text, rng) if rng.random() < 0.4 else text


def gpx(rng: Random) -> str:
    """A track, its times and heights sometimes missing or mad."""
    points = []
    lat, lon = 54.0, -3.0
    for at in range(rng.randrange(0, 12)):
        lat += rng.choice((0.001, 0.0, -0.002, 50.0 if rng.random() < 0.05 else 0.001))
        lon += 0.001
        inside = ""
        if rng.random() < 0.8:
            inside += f"<ele>{rng.choice(['100', '250.5', 'x', '1e9', '', '-60'])}</ele>"
        if rng.random() < 0.5:
            inside += f"<time>2026-06-01T0{rng.randrange(10)}:{at:02}:00Z</time>"
        points.append(f'<trkpt lat="{lat:.4f}" lon="{lon:.4f}">{inside}</trkpt>')
    body = f"<trk><name>W</name><trkseg>{''.join(points)}</trkseg></trk>"
    if rng.random() < 0.1:
        body = "<!DOCTYPE x [<!ENTITY a 'b'>]>" + body
    version = rng.choice(["1.0", "1.1", "2.0"])
    space = rng.choice(["1/0", "1/1", "1/1"])
    text = (
        f'<?xml version="1.0"?><gpx version="{version}" '
        f'xmlns="http://www.topografix.com/GPX/{space}">{body}</gpx>'
    )
    return hurt(text, rng)


def json_ld(rng: Random) -> str:
    """A saved page with a recipe in it."""
    recipe: dict[str, object] = {
        "@context": rng.choice(["https://schema.org", "http://schema.org/", 7, None]),
        "@type": rng.choice(["Recipe", ["Recipe", "Thing"], "Person", 3]),
        "name": rng.choice(["Pot", None, ["a", "b"], {"@value": "Pot"}, "x" * 400]),
        "recipeYield": rng.choice(["4", 4, "serves 2 to 3", -1, None, [2, "2 servings"]]),
        "recipeIngredient": rng.choice(
            [
                [
                    f"{rng.choice(NUMBERS)} {rng.choice(UNITS)} {rng.choice(FOODS)}"
                    for _ in range(3)
                ],
                "salt",
                None,
                [1, None, {"name": "salt"}],
                [],
            ]
        ),
        "recipeInstructions": rng.choice(
            [
                "Boil.",
                ["Soak.", "Eat."],
                [{"@type": "HowToStep", "text": "Pour on."}],
                [{"@type": "HowToSection", "itemListElement": [{"text": "x"}]}],
                {"a": 1},
                5,
            ]
        ),
        "totalTime": rng.choice(["PT30M", "P1Y", "PT", "", "PT1H30M", 5, "PT-1M", "P9999999D"]),
        "nutrition": rng.choice([{"calories": "300 kcal"}, "none", None, {"calories": {}}]),
    }
    for key in rng.sample(sorted(recipe), rng.randrange(0, 4)):
        del recipe[key]
    text = json.dumps(rng.choice([recipe, [recipe], {"@graph": [recipe, {"@type": "Thing"}]}]))
    if rng.random() < 0.6:
        text = f'<html><script type="application/ld+json">{text}</script></html>'
    return hurt(text, rng)


GROWN: dict[str, Callable[[Random], str]] = {
    "amount": amount,
    "pasted": pasted,
    "recipe": recipe_toml,
    "trip": trip_toml,
    "gpx": gpx,
    "json-ld": json_ld,
}
