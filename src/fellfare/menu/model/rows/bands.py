"""Rows of floors and ceilings on what a walker eats: energy, protein, shares, fibre, sodium."""

from __future__ import annotations

import numpy as np

from fellfare.menu.model.board import Floats, Indices
from fellfare.menu.model.figures import UNIT, share_name
from fellfare.menu.model.rows.draft import INFINITE, Ground, RowDraft, Terms
from fellfare.menu.pool import Band

#: A share of energy is missed against so much of the day [kcal].
SHARE_SCALE_KCAL = 500.0


def band_rows(ground: Ground, draft: RowDraft) -> None:
    """One row for each walker, day and limit (or one over the days, ``whole``)."""
    bands = _Bands(ground, draft)
    for band in ground.question.bands:
        bands.rows(band)


class _Bands:
    def __init__(self, ground: Ground, draft: RowDraft) -> None:
        self.ground, self.draft = ground, draft
        self.load: dict[tuple[int, int], tuple[Indices, Floats]] = {}
        self.rules: dict[tuple[object, ...], int] = {}

    def _rule(self, band: Band, side: str) -> int:
        if band.whole:
            return -1
        mark = (
            band.wish, band.walker, band.nutrient, band.times,
            band.low is None, band.high is None, side,
        )  # fmt: skip
        return self.rules.setdefault(mark, len(self.rules))

    def rows(self, band: Band) -> None:
        ground, draft = self.ground, self.draft
        walker = ground.walker[band.walker]
        days = band.days or tuple(range(1, ground.question.days + 1))
        for span in (days,) if band.whole else tuple((day,) for day in days):
            plates = ground.eaten(walker, span)
            if band.times:
                times = ground.cell_time[ground.plate_cell[plates]]
                plates = plates[np.isin(times, np.array(band.times))]
            if plates.shape[0] == 0:
                continue
            where = f"{band.walker}, day {span[0]}"
            if band.times:
                where = f"{where}, {' and '.join(band.times)}"
            if band.whole:
                where = f"{band.walker}, days {span[0]}-{span[-1]}"
            if band.share:
                self._share(band, plates, where, span[0])
                continue
            draft.add(
                band.wish,
                UNIT[band.nutrient],
                where,
                self._terms(band, walker, plates, span),
                low=-INFINITE if band.low is None else band.low,
                high=INFINITE if band.high is None else band.high,
                day=span[0],
                rule=self._rule(band, "both"),
            )

    def _share(self, band: Band, plates: Indices, where: str, day: int) -> None:
        unit = f"kcal of {band.nutrient.removesuffix('_g')}"
        ones = np.ones(plates.shape[0])
        for side, limit in (("low", band.low), ("high", band.high)):
            if limit is not None:
                self.draft.add(
                    band.wish,
                    unit,
                    where,
                    [(self.ground.place[share_name(band, limit)], plates, ones)],
                    low=0.0 if side == "low" else -INFINITE,
                    high=0.0 if side == "high" else INFINITE,
                    day=day,
                    rule=self._rule(band, side),
                    scale=SHARE_SCALE_KCAL,
                )

    def _terms(
        self, band: Band, walker: int, plates: Indices, span: tuple[int, ...]
    ) -> list[Terms]:
        """What is eaten; for energy less what carrying the load takes."""
        ground = self.ground
        terms: list[Terms] = [(ground.place[band.nutrient], plates, np.ones(plates.shape[0]))]
        alpha = ground.question.walkers[walker].load_kcal_per_kg
        if band.nutrient == "energy_kcal" and alpha > 0 and not band.times:
            for day in span:
                if (walker, day) not in self.load:
                    self.load[walker, day] = ground.carried(walker, day, whole_day=False)
                loaded, part = self.load[walker, day]
                terms.append((ground.place["carried_g"], loaded, -alpha / 1000.0 * part))
        return terms
