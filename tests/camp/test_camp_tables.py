"""The camp's tables against handbooks and papers; judgements among them to notice change."""

from __future__ import annotations

from math import log

import pytest

from fellfare.camp.camp_water import SNOW_KG_PER_M3, WATER_NEEDS
from fellfare.camp.cooking import Z_K, Z_MOST_K
from fellfare.camp.fuel.canister import RESERVE, SIZES
from fellfare.camp.fuel.efficiency import (
    MOST_PLAUSIBLE_ETA,
    STOVES,
    WIND_FACTOR,
    check_efficiency,
    efficiency,
)  # fmt: skip
from fellfare.camp.fuel.fuels import wood
from fellfare.camp.fuel.vapour import COLD_MARGIN_K
from fellfare.camp.heat import (
    DRY_FOOD_KJ_PER_KG_K,
    FUSION_KJ_PER_KG,
    ICE_KJ_PER_KG_K,
    POT_KJ_PER_KG_K,
)  # fmt: skip
from fellfare.camp.soaking.minutes import ASSUMED_SPREAD, PRECOOKED, PUBLISHED_C, RAW
from fellfare.camp.soaking.published import PUBLISHED, published_soak
from fellfare.camp.soaking.tried import FAR_OFF, ONE_TEST_SPREAD
from fellfare.camp.water import WEATHER_BAND_HPA


def test_heats_are_those_of_the_handbook() -> None:
    # CRC Handbook of Chemistry and Physics, from memory: aluminium 0.897, titanium 0.523, stainless
    # steel 0.50 kJ/(kg K), ice 2.05 (-10 °C) to 2.11 (0 °C); fusion 333.55 kJ/kg (IAPWS-06).
    assert {
        "aluminium": pytest.approx(0.897, rel=0.01), "titanium": pytest.approx(0.523, rel=0.01),
        "steel": pytest.approx(0.50, rel=0.03),
    } == POT_KJ_PER_KG_K  # fmt: skip
    assert pytest.approx(2.08, rel=0.02) == ICE_KJ_PER_KG_K
    assert pytest.approx(333.55, rel=1e-4) == FUSION_KJ_PER_KG
    # Choi and Okos 1986 at 50 °C: carbohydrate with a tenth of water (4.18)
    carbohydrate = 1.549 + 0.0019625 * 50 - 5.94e-6 * 50**2
    assert pytest.approx(0.9 * carbohydrate + 0.1 * 4.18, rel=0.01) == DRY_FOOD_KJ_PER_KG_K


def test_energies_of_soaking_are_those_of_the_papers() -> None:
    # kJ/mol: teff 24.6, red lentil 11 and chickpea 36 about precooked food; chickpea 28.7, lentil
    # 39.7, soya bean 60 raw (abstracts of the papers that the sources name)
    assert (PRECOOKED.usual, PRECOOKED.low, PRECOOKED.high) == pytest.approx((25, 12, 36), abs=1)
    assert (RAW.usual, RAW.low, RAW.high) == pytest.approx((40, 29, 60), abs=1)
    assert PUBLISHED_C == (10, 70)


def test_published_soaks() -> None:
    chickpea, bean, lentil, teff = PUBLISHED
    named = ("chickpeas-dry", "kidney-beans-dry", "lentils", "teff")
    assert tuple(published_soak(name) for name in named) == PUBLISHED
    assert published_soak("moss") is None
    # Cimini 2021: 5 h at 24 °C, 36 +/- 6 kJ/mol between 12 and 36 °C
    assert (chickpea.minutes, chickpea.at_c) == (300, 24)
    assert chickpea.water_ml_per_g == 1.4
    assert chickpea.activation.low == 30
    assert chickpea.activation.high == 42
    assert [*chickpea.measured_c] == [12, 36]
    # Kwofie 2019: 127 % in 10 h at 25 °C, 4 h at 45 °C: R ln(10/4) / (1/298.15 - 1/318.15)
    by_ends = 8.314e-3 * log(10 / 4) / (1 / 298.15 - 1 / 318.15)
    assert bean.activation.usual == pytest.approx(by_ends, abs=0.1)
    assert [bean.minutes, bean.at_c, *bean.measured_c] == [600, 25, 25, 45]
    assert bean.water_ml_per_g == pytest.approx(1.27)
    # lentil 39.7 from 15 to 40 °C; teff 24.6 from 20 to 50 °C
    assert [lentil.activation.usual, lentil.at_c, *lentil.measured_c] == [39.7, 15, 15, 40]
    assert [teff.activation.usual, teff.at_c, *teff.measured_c] == [24.6, 20, 20, 50]
    assert lentil.minutes == pytest.approx(35, abs=1)  # nine tenths of a seed of 2 mm, by Crank
    assert teff.minutes == pytest.approx(149.4, abs=0.1)
    for one in PUBLISHED[1:]:
        assert one.activation.high - one.activation.usual == pytest.approx(5.0)


def test_snow_is_as_dense_as_snow() -> None:
    # Judson and Doesken 2000: most new snow 50 to 100 kg/m3; the others common values, from memory
    assert SNOW_KG_PER_M3 == {
        "new": (50, 100), "settled": (200, 300), "wind-packed": (300, 400),
    }  # fmt: skip


def test_water_of_the_camp_is_common_practice() -> None:
    # Ours, 2026-11, to notice change: common practice, no source [mL].
    assert {use: (need.low_ml, need.high_ml) for use, need in WATER_NEEDS.items()} == {
        "breakfast": (250, 350), "dinner": (350, 500), "hot-drink": (250, 250),
        "cold-soak-dinner": (200, 400), "washing": (100, 200), "walking-hour": (500, 1000),
        "dry-camp": (4000, 5000),
    }  # fmt: skip


def test_canisters_and_margins_are_common_practice() -> None:
    # Ours, 2026-11, to notice change: common fills of the trade, empty masses from memory.
    assert [(size.net_g, size.tare_low_g, size.tare_high_g) for size in SIZES] == [
        (100, 90, 110), (110, 90, 110), (230, 130, 155), (450, 200, 215),
    ]  # fmt: skip
    assert (RESERVE, COLD_MARGIN_K, WEATHER_BAND_HPA) == (0.15, 5, 30)
    assert (Z_K, Z_MOST_K) == (33, 52)
    assert (ASSUMED_SPREAD, ONE_TEST_SPREAD, FAR_OFF) == (1.5, 1.25, 2)
    assert (MOST_PLAUSIBLE_ETA, WIND_FACTOR) == (
        0.80, {"calm": 1.0, "breeze": 0.7, "strong": 0.4},
    )  # fmt: skip


def test_wind_takes_its_share_of_every_stove() -> None:
    for name, stove in STOVES.items():
        assert efficiency(name).eta == pytest.approx(stove.eta)
        for wind in ("breeze", "strong"):
            assert efficiency(name, wind).eta <= stove.eta
        assert 0 < stove.eta_low <= stove.eta <= stove.eta_high <= MOST_PLAUSIBLE_ETA
        assert 100 <= stove.net_w <= 2000


@pytest.mark.parametrize(("moisture", "lower"), [(0.0, 18.5), (0.2, 14.31), (0.5, 8.03)])
def test_wet_wood_gives_less(moisture: float, lower: float) -> None:
    # 18.5 kJ/g of dry wood (1 - M) less 2.44 kJ/g of the water M
    assert wood(moisture).lhv_kj_per_g == pytest.approx(lower, abs=0.01)
    # 6 % of hydrogen make 0.536 g of water: 1.31 kJ/g more with its steam condensed
    assert wood(moisture).hhv_kj_per_g == pytest.approx((1 - moisture) * 19.81, abs=0.02)


@pytest.mark.parametrize(
    ("eta", "rules"),
    [(0.8, []), (0.801, ["efficiency-doubtful"]), (1.0, ["efficiency-doubtful"]),
     (1.001, ["efficiency-over-one"])],
)  # fmt: skip
def test_no_stove_gives_more_than_its_fuel_holds(eta: float, rules: list[str]) -> None:
    assert [one.rule for one in check_efficiency(eta)] == rules
