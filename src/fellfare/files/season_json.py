"""A season as plain data for JSON: keys end in their unit, figures have three places at most."""

from __future__ import annotations

from datetime import date
from typing import Any

from fellfare.files.menu_json import rounded_data
from fellfare.provision.season.buying import Purchase
from fellfare.provision.season.lots import Ledger, Traced
from fellfare.provision.season.party import Party
from fellfare.provision.season.returned import Returned


def season_data(
    title: str,
    today: date,
    parties: tuple[Party, ...],
    purchase: Purchase,
    ledger: Ledger,
    returned: tuple[Returned, ...],
) -> dict[str, Any]:
    """All of it, without papers and recall."""
    return {
        "title": title,
        "today": today.isoformat(),
        "parties": [party_data(party, today) for party in parties],
        "purchase": purchase_data(purchase),
        "lots": ledger_data(ledger),
        "returned": returned_data(returned),
        "findings": [
            {"severity": f.severity, "rule": f.rule, "text": f.text, "source": f.source}
            for f in (ledger.findings if ledger.lots else ())
        ],
    }


def party_data(party: Party, today: date | None) -> dict[str, Any]:
    """One party."""
    one = party.provision
    return _rounded(
        {
            "name": party.name,
            "trip": one.plan.trip.title,
            "sets_out": None if party.sets_out is None else party.sets_out.isoformat(),
            "is_back": None if party.is_back is None else party.is_back.isoformat(),
            "when": party.when(today),
            "walkers": len(one.plan.trip.walkers),
            "days": len(one.plan.days),
            "bags": len(one.bags),
            "food_g": one.food_g,
        }
    )


def purchase_data(purchase: Purchase) -> dict[str, Any]:
    """The one purchase of all."""
    return _rounded(
        {
            "cost": None if purchase.list.cost_unknown else str(purchase.list.cost),
            "currency": purchase.list.currency,
            "cost_unknown": list(purchase.list.cost_unknown),
            "spare_g": purchase.spare_g,
            "spare_apart_g": purchase.spare_apart_g,
            "shopping": [
                {
                    "food": row.food.id,
                    "need_g": row.need_g,
                    "in_store_g": row.home_g,
                    "buy_g": row.buy_g,
                    "packs": [
                        {"size_g": each.pack.size_g, "count": each.count, "name": each.pack.name}
                        for each in row.packs
                    ],
                    "spare_g": row.spare_g,
                    "price": None if row.cost is None else str(row.cost),
                    "parties": {
                        party: grams
                        for (food, party), grams in purchase.parts.items()
                        if food == row.food.id
                    },
                }
                for row in purchase.list.rows
            ],
        }
    )


def ledger_data(ledger: Ledger) -> list[dict[str, Any]]:
    """Lots and what is left of them."""
    return [
        {
            "number": lot.number,
            "food": lot.food,
            "mass_g": lot.mass_g,
            "left_g": round(ledger.left_g(lot.number), 3),
            "best_before": None if lot.best_before is None else lot.best_before.isoformat(),
            "supplier": lot.supplier,
            "bags": sum(use.lot == lot.number for use in ledger.uses),
        }
        for lot in ledger.lots
    ]


def recall_data(traced: tuple[Traced, ...]) -> list[dict[str, Any]]:
    """Lot → bags → boxes → parties."""
    return [
        {
            "party": one.party,
            "when": one.when,
            "sets_out": None if one.sets_out is None else one.sets_out.isoformat(),
            "is_back": None if one.is_back is None else one.is_back.isoformat(),
            "eaters": list(one.eaters),
            "mass_g": round(one.mass_g, 3),
            "bags": [
                {
                    "bag": use.bag,
                    "dish": use.dish,
                    "name": use.bag_name,
                    "day": use.day,
                    "eaten_on": None if use.eaten_on is None else use.eaten_on.isoformat(),
                    "time": use.time,
                    "box": use.box,
                    "mass_g": round(use.mass_g, 3),
                }
                for use in one.uses
            ],
        }
        for one in traced
    ]


def returned_data(returned: tuple[Returned, ...]) -> list[dict[str, Any]]:
    """What came back, by party."""
    return [
        {
            "party": one.party,
            "carried_g": round(one.carried_g, 3),
            "home_g": round(one.home_g, 3),
            "share": round(one.share, 3),
            "dishes": {dish: round(grams, 3) for dish, grams in one.dishes},
        }
        for one in returned
    ]


def _rounded(data: dict[str, Any]) -> dict[str, Any]:
    rounded = rounded_data(data)
    assert isinstance(rounded, dict)
    return rounded
