"""``fellfare basket SHOPLIST``: what to buy in a thin shop when the box is lost."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, Final

import click
from msgspec import to_builtins

from fellfare.cli.camp.answer import grams, titled
from fellfare.cli.layout import heading, paragraph, table
from fellfare.files.shop_list import ShopList, read_shop_list
from fellfare.menu.answer import Give
from fellfare.menu.basket import Basket, BasketAsk, best_basket
from fellfare.menu.basket.wishes import NAME, UNIT
from fellfare.menu.pool import Avoid, Nutrient
from fellfare.menu.solver import Effort
from fellfare.mistake import Mistake
from fellfare.pantry.allergens import agents_of

_ADVICE: Final = (
    "Read the label of each pack you buy: makers change what is in it. No rule of food "
    "hygiene was asked here; cold food from a shop has to be eaten soon."
)


@click.command()
@click.argument("shoplist", type=click.Path(path_type=Path))
@click.option("--days", type=float, required=True, metavar="N", help="Days to be fed.")
@click.option("--people", default=1, show_default=True, metavar="N", help="Who eats of it.")
@click.option("--kcal", type=float, required=True, metavar="KCAL", help="Energy, each, a day.")
@click.option("--most-kcal", type=float, metavar="KCAL", help="No more than that, each, a day.")
@click.option("--protein", type=float, metavar="G", help="Protein at least, each, a day.")
@click.option("--fibre", type=float, metavar="G", help="Fibre at least, each, a day.")
@click.option("--most-sodium", type=float, metavar="MG", help="Sodium at most, each, a day.")
@click.option(
    "--avoid", multiple=True, metavar="ALLERGEN", help="What nobody must meet; again for more."
)
@click.option(
    "--diet",
    "diets",
    multiple=True,
    type=click.Choice(["vegetarian", "vegan", "pescetarian", "no-pork", "no-beef", "no-alcohol"]),
    help="Everything fits this diet.",
)
@click.option("--no-fire", is_flag=True, help="Only what is eaten dry or soaked cold.")
@click.option("--litres", type=float, metavar="L", help="Room for it in all.")
@click.option("--mass", "most_g", type=float, metavar="G", help="Grams in all, at most.")
@click.option("--price", "most_price", type=float, metavar="MONEY", help="Money in all, at most.")
@click.option(
    "--share",
    type=float,
    metavar="PERCENT",
    help="No kind of pack brings more than so much of the energy.",
)
@click.option(
    "--least",
    type=click.Choice(["mass", "price"]),
    default="mass",
    show_default=True,
    help="What is made least.",
)
@click.option("--seconds", default=20.0, show_default=True, help="Time for each search.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
def command(shoplist: Path, as_json: bool, **given: Any) -> None:
    """What to buy when the box is lost: the lightest or cheapest packs that will do.

    \b
    fellfare basket kiosk.csv --days 3 --kcal 3200 --protein 90 \\
        --avoid tree-nut --share 40
    """
    shop = read_shop_list(shoplist)
    ask = _ask(shop, given)
    basket = best_basket(ask, _effort(given["seconds"]))
    if as_json:
        click.echo(json.dumps(_data(shop, basket, given), ensure_ascii=False, indent=1))
    else:
        click.echo("\n".join(_text(shop, basket, given)))
    raise SystemExit(0 if basket.bought else 1)


def _effort(seconds: float) -> Effort:
    try:
        return Effort(seconds=seconds)
    except Mistake as mistake:
        raise mistake.at("--seconds") from mistake


def _ask(shop: ShopList, given: dict[str, Any]) -> BasketAsk:
    days, people = given["days"], given["people"]
    if not 0 < days <= 400 or not 1 <= people <= 100:
        raise Mistake(
            "basket-people-days",
            f"{people} people for {days:g} days",
            "1 to 100 people, above 0 and up to 400 days",
            "--people, --days",
        )
    many = days * people
    floors: list[tuple[Nutrient, float]] = [("energy_kcal", given["kcal"] * many)]
    floors += [
        (name, given[option] * many) for name, option in _FLOORS if given[option] is not None
    ]
    ceilings: list[tuple[Nutrient, float]] = [
        (name, given[option] * many) for name, option in _CEILINGS if given[option] is not None
    ]
    agents = dict.fromkeys(agent for word in given["avoid"] for agent in agents_of(word))
    return BasketAsk(
        packs=shop.packs,
        at_least=tuple(floors),
        at_most=tuple(ceilings),
        avoids=tuple(Avoid(allergen=agent) for agent in agents),
        diets=given["diets"],
        ways=("dry", "cold-soak") if given["no_fire"] else None,
        litres=given["litres"],
        most_g=given["most_g"],
        most_price=given["most_price"],
        one_share=None if given["share"] is None else given["share"] / 100.0,
        least=given["least"],
    )


_FLOORS: Final[tuple[tuple[Nutrient, str], ...]] = (("protein_g", "protein"), ("fibre_g", "fibre"))
_CEILINGS: Final[tuple[tuple[Nutrient, str], ...]] = (
    ("energy_kcal", "most_kcal"),
    ("sodium_mg", "most_sodium"),
)


def _data(shop: ShopList, basket: Basket, given: dict[str, Any]) -> dict[str, Any]:
    """Keys that stay; None is unknown."""
    totals = {total.name: total for total in basket.totals}
    wrapping = totals.pop("wrapping_g", None)
    value = "value_g" if basket.least == "mass" else "value_price"
    return {
        "shop": shop.title,
        "currency": shop.currency,
        "days": given["days"],
        "people": given["people"],
        "verdict": basket.verdict,
        "least": basket.least,
        "bought": [
            {
                "name": one.name,
                "count": one.count,
                "mass_g": round(one.mass_g, 3),
                "price": _rounded(one.price),
            }
            for one in basket.bought
        ],
        "mass_g": _rounded(basket.mass_g),
        "mass_unknown": list(wrapping.unknown) if wrapping else [],
        "price": _rounded(basket.price),
        "volume_ml": _rounded(basket.volume_ml),
        "nutrients": {
            name: {"value": round(total.value, 3), "unknown": list(total.unknown)}
            for name, total in totals.items()
        },
        "wishes": [
            {
                "wish": kept.wish,
                "unit": kept.unit,
                "value": round(kept.value, 3),
                "low": _rounded(kept.low),
                "high": _rounded(kept.high),
            }
            for kept in basket.kept
        ],
        value: _rounded(basket.value),
        value.replace("value", "bound"): round(basket.bound, 3),
        "gap": None if basket.value is None else round(basket.gap, 6),
        "left_out": to_builtins(basket.left_out),
        "any_one": [_give(give) for give in basket.any_one],
        "together": [_give(give) for give in basket.together],
        "solver": basket.solver,
    }


def _give(give: Give) -> dict[str, Any]:
    return {**to_builtins(give), "amount": round(give.amount, 3)}


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 3)


def _text(shop: ShopList, basket: Basket, given: dict[str, Any]) -> list[str]:
    days, people = given["days"], given["people"]
    who = "one" if people == 1 else f"{people} people"
    day = "day" if days == 1 else "days"
    lines = titled(f"From {shop.title}, for {who}, {days:g} {day}")
    lines += _basket_text(shop, basket) if basket.bought else _nothing(shop, basket)
    if basket.left_out:
        lines += heading("Left on the shelf")
        for one in basket.left_out:
            lines += paragraph(f"{one.name}: {one.why}", "    ", "  · ")
    if basket.bought:
        lines += heading("Mind")
        lines += paragraph(_ADVICE, "    ", "  · ")
    return lines


def _basket_text(shop: ShopList, basket: Basket) -> list[str]:
    rows = [["", "pack", "mass", "price"]]
    rows += [
        [f"{one.count} ×", one.name, grams(one.mass_g), _money(one.price, "")]
        for one in basket.bought
    ]
    rows.append(["", "in all", grams(basket.mass_g or 0.0), _money(basket.price, shop.currency)])
    lines = [f"  {line}" for line in table(rows, [-5, 36, -12, -14])]
    lines += paragraph(_proof(shop, basket))
    lines += heading("What was asked")
    lines += [f"  {line}" for line in table(_wishes(shop, basket), [26, -14, 30])]
    blind = [
        f"{NAME.get(total.name, 'wrapping')}: {', '.join(total.unknown)}"
        for total in basket.totals
        if total.unknown
    ]
    if blind:
        lines += heading("Not known, and so not counted")
        for row in blind:
            lines += paragraph(row, "    ", "  · ")
    return lines


def _wishes(shop: ShopList, basket: Basket) -> list[list[str]]:
    rows = []
    for kept in basket.kept:
        unit = shop.currency if kept.unit == "money" else kept.unit
        told = _cents if kept.unit == "money" else _figure
        limit = f"at least {told(kept.low)}" if kept.low is not None else ""
        limit = limit or f"at most {told(kept.high)}"
        name = kept.wish.replace(" at least", "").replace(" at most", "")
        rows.append([name, f"{told(kept.value)} {unit}".rstrip(), f"  {limit}"])
    asked = {kept.wish.split(" at ")[0] for kept in basket.kept}
    for total in basket.totals:
        if total.name in UNIT and NAME[total.name] not in asked:
            value, more = f"{_figure(total.value)} {UNIT[total.name]}", ""
            if total.unknown:
                more = "  (at least)"
            if len(total.unknown) == len(basket.bought):
                value, more = "unknown", ""
            rows.append([NAME[total.name], value, more])
    if basket.volume_ml is not None and "litres" not in asked:
        rows.append(["litres", f"{basket.volume_ml / 1000:.2f} L", ""])
    return rows


def _figure(value: float | None) -> str:
    if value is None:
        return ""
    said = f"{value:,.0f}" if abs(value) >= 100 else f"{value:.2f}".rstrip("0").rstrip(".")
    return said.replace(",", " ")


def _cents(value: float | None) -> str:
    return "" if value is None else f"{value:.2f}"


def _money(price: float | None, currency: str) -> str:
    return "unknown" if price is None else f"{price:.2f} {currency}".rstrip()


def _proof(shop: ShopList, basket: Basket) -> str:
    which = "lightest" if basket.least == "mass" else "cheapest"
    if basket.verdict == "optimal":
        return f"Proven: there is no {which.replace('est', 'er')} basket on this shelf."
    least = f"{basket.bound:,.0f} g".replace(",", " ")
    if basket.least == "price":
        least = _money(basket.bound, shop.currency)
    return (
        f"The time was over: no basket has less than {least}, "
        f"this one is within {100 * basket.gap:.1f} %."
    )


def _nothing(shop: ShopList, basket: Basket) -> list[str]:
    if basket.verdict == "stopped":
        return paragraph(
            "The time was over before a basket was found; there may be one. Give more --seconds."
        )
    lines = paragraph("It cannot be done: no basket on this shelf keeps all that is asked.")
    if basket.any_one:
        lines += heading("Any one of these would be enough")
        gives = basket.any_one
    elif basket.together:
        lines += heading("No single one would do; all of these together")
        gives = basket.together
    else:
        gives = ()
    for give in gives:
        told = give.gives
        if give.unit == "money":
            told = told.replace(" money", f" {shop.currency}".rstrip())
        lines += paragraph(f"{give.wish}: {told}", "    ", "  · ")
    return lines
