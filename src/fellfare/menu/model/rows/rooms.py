"""Rows of what has room: litres at night, a walker's load, a leg's box, the pot."""

from __future__ import annotations

import numpy as np

from fellfare.menu.model.rows.draft import Ground, RowDraft


def room_rows(ground: Ground, draft: RowDraft) -> None:
    """All of them."""
    _litres(ground, draft)
    _loads(ground, draft)
    _boxes(ground, draft)
    _pots(ground, draft)


def _litres(ground: Ground, draft: RowDraft) -> None:
    for litre in ground.question.litres:
        who = sorted(ground.walker[name] for name in litre.walkers)
        for leg in ground.legs:
            plates = ground.on_days(leg.first_day, leg.last_day)
            if who:
                plates = plates[np.isin(ground.plate_walker[plates], np.array(who))]
            for night in range(leg.first_day - 1, leg.last_day):
                # the night before a leg is spent where its food is taken up
                asked = night in litre.days if litre.days else night >= leg.first_day
                if asked:
                    left = np.where(ground.plate_day[plates] > night, 1.0, litre.rubbish_share)
                    draft.add(
                        litre.wish,
                        "ml",
                        f"night {night}",
                        [(ground.place["volume_ml"], plates, left)],
                        high=litre.litres * 1000.0,
                        day=leg.first_day,
                    )


def _loads(ground: Ground, draft: RowDraft) -> None:
    for cap in ground.question.load_caps:
        for day in cap.days or tuple(leg.first_day for leg in ground.legs):
            plates, part = ground.carried(ground.walker[cap.walker], day, whole_day=True)
            draft.add(
                cap.wish,
                "g",
                f"{cap.walker}, day {day}",
                [(ground.place["carried_g"], plates, part)],
                high=cap.most_g,
                day=day,
            )


def _boxes(ground: Ground, draft: RowDraft) -> None:
    for box in ground.question.box_caps:
        leg = next(each for each in ground.legs if each.name == box.leg)
        plates = ground.on_days(leg.first_day, leg.last_day)
        for figure, most, unit in (
            ("carried_g", box.most_g, "g"),
            ("volume_ml", box.most_ml, "ml"),
        ):
            if most is not None:
                draft.add(
                    box.wish,
                    unit,
                    f"box for {leg.name}",
                    [(ground.place[figure], plates, np.ones(plates.shape[0]))],
                    high=most,
                    day=leg.first_day,
                )


def _pots(ground: Ground, draft: RowDraft) -> None:
    """One row per common meal: fixed dishes and chosen ones share the pot."""
    cells: dict[int, list[int]] = {}
    for cell, slot in enumerate(ground.cell_slot.tolist()):
        if ground.question.slots[slot].pot_ml is not None and ground.cell_walker[cell] == -1:
            cells.setdefault(slot, []).append(cell)
    for at, members in cells.items():
        slot = ground.question.slots[at]
        plates = np.nonzero(np.isin(ground.plate_cell, np.array(members)))[0]
        assert slot.pot_ml is not None
        draft.add(
            f"what the pot holds, {slot.time}",
            "ml",
            f"day {slot.day}",
            [(ground.place["pot_ml"], plates, np.ones(plates.shape[0]))],
            high=slot.pot_ml,
            day=slot.day,
        )
