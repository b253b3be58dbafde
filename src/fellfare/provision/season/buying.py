"""One purchase for all parties: whole cases, the spare of one feeds the next."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from fellfare.pantry.pantry import Pantry
from fellfare.provision.season.party import Party
from fellfare.provision.shopping.list import ShoppingList, shopping_list
from fellfare.provision.shopping.packs import Pack


class Purchase(Struct, frozen=True, kw_only=True, eq=False):
    """The list of all, and what each party takes of it."""

    list: ShoppingList
    #: (food id, party) -> what that party's bags hold of it, as bagged [g].
    parts: Mapping[tuple[str, str], float]
    #: Spare of all packs if every party bought for itself alone [g].
    spare_apart_g: float

    @property
    def spare_g(self) -> float:
        """Spare of all packs of the one purchase [g]."""
        return sum(row.spare_g for row in self.list.rows)


def purchase_of(
    parties: Sequence[Party],
    pantry: Pantry,
    *,
    cases: Mapping[str, Sequence[Pack]] | None = None,
    in_store: Mapping[str, float] | None = None,
    dry_at_home: Collection[str] = (),
    currency: str = "",
) -> Purchase:
    """The season's purchase.

    Parameters
    ----------
    parties
        Those still to be packed.
    pantry
        All foods of all parties.
    cases
        Food id to the cases and packs that the trade sells.
    in_store
        Food id to what lies in the store room [g, as bought].
    dry_at_home
        Foods that are dried in one's own kitchen.
    currency
        For the costs.

    Raises
    ------
    Mistake
        Those of :func:`~fellfare.provision.shopping.list.shopping_list`.
    """
    bags = [
        replace(bag, dish=f"{party.name}: {bag.dish}", stop="")
        for party in parties
        for bag in party.home_bags
    ]
    made = shopping_list(
        bags,
        pantry,
        packs=cases,
        at_home=in_store,
        dry_at_home=dry_at_home,
        currency=currency,
    )
    parts: dict[tuple[str, str], float] = {}
    for party in parties:
        for bag in party.home_bags:
            for content in bag.contents:
                if content.mass_g is not None:
                    key = (content.food.id, party.name)
                    parts[key] = parts.get(key, 0.0) + content.mass_g
    apart = 0.0
    for party in parties:
        alone = shopping_list(
            [replace(bag, stop="") for bag in party.home_bags],
            pantry,
            packs=cases,
            dry_at_home=dry_at_home,
        )
        apart += sum(row.spare_g for row in alone.rows)
    return Purchase(list=made, parts=parts, spare_apart_g=apart)
