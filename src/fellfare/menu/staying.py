"""A saved menu, and what of it must change now: the rest stays as it is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from fellfare.menu.answer import Menu, Plate, Portion
from fellfare.menu.asked.question import Asked
from fellfare.menu.carried import Carried, carried
from fellfare.menu.changing import Change, change_menu
from fellfare.menu.changing.differing import changes_of
from fellfare.menu.checking import broken_rules
from fellfare.menu.pool import Ban
from fellfare.menu.settling import SETTLED_KCAL, Round, Settled, density
from fellfare.menu.trying import Trying, Watch
from fellfare.mistake import Mistake
from fellfare.recipe.leaving_out import recipe_of

#: Rounds of need and load; a menu that stays near to itself needs two.
MOST_ROUNDS = 5


class Stayed(Struct, frozen=True, kw_only=True, eq=False):
    """The changed menu, settled, and how it differs from the saved one."""

    done: Settled
    whole: Carried
    changes: tuple[Change, ...]
    sentences: tuple[str, ...]


def known_plates(
    asked: Asked, plates: Sequence[Plate], steps_per_serving: Mapping[str, int]
) -> tuple[Plate, ...]:
    """Plates of a document as plates of this question, as far as they still mean something.

    Eating times become those of each kitchen, portions the nearest steps of the dish; what
    names a dish, a time or a walker that is no more is left out.
    """
    dishes = {one.id: one.dish for one in asked.dishes}
    out = []
    for plate in plates:
        if plate.dish not in dishes:
            continue
        dish = dishes[plate.dish]
        per = steps_per_serving.get(plate.dish, dish.steps_per_serving)
        for (day, time), place in asked.places.items():
            if (day, place.eating) != (plate.day, plate.time):
                continue
            mine = [part for part in plate.portions if part.walker in place.walkers]
            slot = next(s for s in asked.base.slots if (s.day, s.time) == (day, time))
            portions = []
            for part in mine:
                steps = round(part.steps / per * dish.steps_per_serving)
                servings = steps / dish.steps_per_serving
                portions.append(
                    Portion(
                        walker=part.walker,
                        steps=steps,
                        mass_g=(dish.mass_g + dish.fuel_g) * servings,
                        energy_kcal=dish.energy_kcal * servings,
                    )
                )
            if not portions:
                continue
            pots = [tuple(portions)] if slot.shared else [(one,) for one in portions]
            out += [
                Plate(
                    day=day,
                    time=time,
                    dish=plate.dish,
                    shared=slot.shared,
                    times=plate.times,
                    portions=pot,
                )
                for pot in pots
            ]
    return tuple(out)


def other_than(
    asked: Asked, plates: Sequence[Plate], swaps: Sequence[tuple[int, str]]
) -> tuple[Asked, tuple[str, ...]]:
    """The question in which what stood there (day, eating time) may not stand there again.

    Raises
    ------
    Mistake
        ``nothing-to-swap``: the saved menu has no dish there.
    """
    bans, said = [], []
    for day, eating in swaps:
        old = {plate.dish: None for plate in plates if (plate.day, plate.time) == (day, eating)}
        if not old:
            raise Mistake(
                "nothing-to-swap",
                what=f"the saved menu has nothing on day {day} at {eating!r}",
                mend="name a day and an eating time of the saved menu",
                where="--swap",
            )
        kinds = {recipe_of(dish) for dish in old}
        bans += [
            Ban(dish=one.id, day=day, time=time)
            for (d, time), place in asked.places.items()
            if (d, place.eating) == (day, eating)
            for one in asked.dishes
            if recipe_of(one.id) in kinds
        ]
        said.append(f"day {day}, {eating}: something else than {', '.join(old)}")
    base = replace(asked.base, bans=(*asked.base.bans, *bans))
    return replace(asked, base=base), tuple(said)


def stay_near(
    asked: Asked,
    plates: Sequence[Plate],
    steps_per_serving: Mapping[str, int],
    tries: Trying,
    watch: Watch | None = None,
) -> Stayed:
    """The saved menu where it still keeps every rule; else the nearest one that does.

    Nearness is priced in grams (see :mod:`fellfare.menu.changing`); need and load settle as
    in :func:`~fellfare.menu.settling.settle`.
    """
    old = known_plates(asked, plates, steps_per_serving)
    menu = Menu(
        verdict="stopped",
        plates=old,
        mass_g=sum(part.mass_g for plate in old for part in plate.portions),
    )
    need = (
        carried(asked, old, asked.first_need_kcal).need_kcal(asked)
        if old
        else (asked.first_need_kcal)
    )
    rounds: list[Round] = []
    sentences: tuple[str, ...] = ()
    question = asked.question(need, usual=False)
    broken = broken_rules(question, old)
    began = tries.clock() if tries.clock else 0.0
    for number in range(1, MOST_ROUNDS + 1):
        question = asked.question(need, usual=False)
        spent = tries.clock() - began if tries.clock else 0.0
        left = replace(tries, seconds=max(0.6 * (tries.seconds - spent), 0.5))
        changed = change_menu(menu, question, left, watch)
        if not changed.menu.plates:
            settled = _settled(changed.menu, asked, need, need, rounds, agreed=False)
            return Stayed(
                done=settled,
                whole=carried(asked, (), need),
                changes=(),
                sentences=changed.sentences,
            )
        menu = changed.menu
        sentences = sentences or changed.sentences
        brought = carried(asked, menu.plates, need).need_kcal(asked)
        residual = float(np.abs(brought - need).max())
        rounds.append(
            Round(
                number=number,
                mass_g=menu.mass_g or 0.0,
                residual_kcal=residual,
                residual_g=residual / density(menu),
                dishes_fixed=False,
            )
        )
        done = _settled(menu, asked, need, brought, rounds, agreed=residual < SETTLED_KCAL)
        if done.settled:
            break
        need = brought
    return Stayed(
        done=done,
        whole=carried(asked, menu.plates, done.asked_kcal),
        changes=tuple(
            replace(one, time=asked.places[one.day, one.time].eating)
            for one in changes_of(old, menu.plates, question, broken)
        ),
        sentences=sentences,
    )


def _settled(
    menu: Menu,
    asked: Asked,
    need: np.ndarray,
    brought: np.ndarray,
    rounds: Sequence[Round],
    *,
    agreed: bool,
) -> Settled:
    return Settled(
        menu=menu,
        question=asked.question(need, usual=False),
        made=None,
        asked_kcal=need,
        need_kcal=brought,
        rounds=tuple(rounds),
        settled=agreed,
    )
