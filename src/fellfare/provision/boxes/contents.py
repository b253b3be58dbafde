"""What does the list for customs say, and what does not belong in a box?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Final

from msgspec import Struct

from fellfare.mistake import Finding
from fellfare.pantry.food import Food, Group
from fellfare.provision.bags.plan import PlannedBag

#: Plain words of a customs list by group of the pantry.
_CUSTOMS: Final[Mapping[Group, str]] = {
    "grain": "cereal products, dry",
    "bread": "bread and biscuits",
    "pulse": "pulses, dry",
    "soy": "soya products",
    "vegetable": "vegetables, dried",
    "mushroom": "mushrooms, dried",
    "fruit": "fruit, dried",
    "herb": "herbs, dried",
    "spice": "spices",
    "nut": "nuts",
    "seed": "seeds for eating",
    "dairy": "milk products",
    "egg": "egg products",
    "meat": "meat products",
    "fish": "fish products",
    "oil": "edible oil and fat",
    "sweet": "confectionery",
    "drink": "tea, coffee, drink powder",
    "sauce": "sauces",
    "soup": "soup powder",
    "baking": "baking goods",
    "ready": "food preparations",
}
#: Where the form tells more than the group: fruit and vegetables that are not just dried.
_BY_FORM: Final[Mapping[tuple[str, str], str]] = {
    (group, form): f"{said}{word}"
    for group, said in (("fruit", "fruit"), ("vegetable", "vegetables"), ("mushroom", "mushrooms"))
    for form, word in (
        ("fresh", ", fresh"), ("powder", ", powder"), ("crystal", ", powder"),
        ("canned", ", preserved"), ("cured", ", preserved"), ("paste", ", preserved"),
        ("solid", ", preserved"), ("liquid", " juice"),
    )
} | {("sweet", "crystal"): "sugar"}  # fmt: skip


def customs_words(food: Food) -> str:
    """What a customs list calls it: 'fruit, dried', 'food acid', 'coconut products'."""
    words = {*food.id.split("-"), *food.name.casefold().replace(",", " ").split()}
    if food.group == "fruit" and "acid" in words:
        return "food acid"
    if food.group == "fruit" and "coconut" in words:
        return "coconut products"
    return _BY_FORM.get((food.group, food.form), _CUSTOMS[food.group])


#: What border guards most often ask about.
_WATCHED: Final[tuple[Group, ...]] = ("dairy", "egg", "meat", "fish", "fruit", "vegetable", "seed")

#: Words for things that carriers forbid or restrict.
_RESTRICTED: Final = (
    "gas", "canister", "cartridge", "fuel", "spirit", "alcohol", "petrol", "gasoline", "white gas",
    "kerosene", "paraffin", "lighter", "match", "solid fuel", "hexamine", "tablet stove",
    "bear spray", "pepper spray", "aerosol", "battery", "power bank", "knife",
)  # fmt: skip


class CustomsRow(Struct, frozen=True, kw_only=True):
    """One line of the list: plain description, net mass, number of bags."""

    description: str
    net_g: float
    mass_unknown: tuple[str, ...]
    bags: int
    foods: tuple[str, ...]


def customs_list(bags: Iterable[PlannedBag]) -> tuple[CustomsRow, ...]:
    """Plain descriptions with net masses, the heaviest first.

    Values, tariff numbers and origins are the sender's; the form of the carrier
    and the law of the country count.
    """
    grams: dict[str, float] = {}
    unknown: dict[str, list[str]] = {}
    names: dict[str, dict[str, None]] = {}
    numbers: dict[str, set[int]] = {}
    for bag in bags:
        for content in bag.contents:
            words = customs_words(content.food)
            grams[words] = grams.get(words, 0.0) + (content.mass_g or 0.0)
            names.setdefault(words, {})[content.food.name] = None
            numbers.setdefault(words, set()).add(bag.number)
            if content.mass_g is None:
                unknown.setdefault(words, []).append(content.food.id)
    return tuple(
        CustomsRow(
            description=words,
            net_g=net_g,
            mass_unknown=tuple(dict.fromkeys(unknown.get(words, ()))),
            bags=len(numbers[words]),
            foods=tuple(names[words]),
        )
        for words, net_g in sorted(grams.items(), key=lambda one: -one[1])
    )


def not_to_post(things: Iterable[str], bags: Iterable[PlannedBag]) -> tuple[Finding, ...]:
    """What carriers forbid or restrict, and food that a parcel does not keep."""
    found = []
    for thing in things:
        words = f" {thing.casefold()}"
        if any(f" {word}" in words for word in _RESTRICTED):
            found.append(
                Finding(
                    severity="caution",
                    rule="not-to-post",
                    text=f"{thing}: fuel, gas, matches, sprays and batteries are forbidden or "
                    "restricted in the post and in aeroplanes.  The carrier decides; buy fuel "
                    "where you open the box.",
                    source="carriers' rules on dangerous goods; common practice",
                    about=(thing,),
                )
            )
    cold = {"perishable", "raw-meat", "raw-fish", "raw-egg", "raw-milk", "sprouts"}
    found += [
        Finding(
            severity="error",
            rule="cold-in-a-box",
            text=f"{food.name} needs cold and does not belong in a parcel.",
            source="[USDA-FSIS-OUTDOORS]: 2 h without cold, 1 h above 32 °C",
            about=(f"bag {bag.number}", food.id),
        )
        for bag in bags
        for food in bag.foods
        if cold & set(food.hazards) or bag.kept == "cold"
    ]
    return tuple(found)


def across_a_border(name: str, bags: Iterable[PlannedBag], abroad: bool) -> tuple[Finding, ...]:
    if not abroad:
        return ()
    names = dict.fromkeys(
        food.name
        for bag in bags
        for food in bag.foods
        if food.group in _WATCHED and customs_words(food) != "food acid"
    )
    if not names:
        return ()
    return (
        Finding(
            severity="caution",
            rule="food-across-a-border",
            text=f"{name}: meat, milk, egg, fruit, vegetable and seed products are often held at "
            f"borders: {', '.join(names)}.  Ask the country's authority first.",
            source="common practice; the country's own rules count",
            about=tuple(names),
        ),
    )
