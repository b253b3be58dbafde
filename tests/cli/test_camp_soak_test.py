"""``fellfare camp soak-test``, and ``--tested`` in 'soak' and 'wet'."""

from __future__ import annotations

import pytest
from tests.cli.asking_camp import Asked


def test_what_it_prints_for_use_can_be_used(ask: Asked) -> None:
    test = ask.data("soak-test", "bulgur", "--water-temp", "11", "--not-yet", "45", "--done", "52")
    assert (test["low_min"], test["minutes"], test["high_min"]) == (45, 52, 65)
    used = ask.data("soak", "bulgur", "--water-temp", "8", "--tested", test["tested"])
    (shown,) = [one for one in test["by_water"] if one["water_c"] == 8]
    assert used["plan_min"] == pytest.approx(shown["high_min"], abs=0.01)
    assert used["foods"][0]["minutes_trust"] == "measured"
    assert used["foods"][0]["own_test"]["done_min"] == 52


def test_a_test_moves_when_the_jar_is_wetted(ask: Asked) -> None:
    plain = ("wet", "--arrive", "18:00", "--jar", "bulgur", "--water-temp", "11", "--carry-water")
    usual = ask.data(*plain, status=1)  # 173 min and the meal are beyond 2 h
    own = ask.data(*plain, "--tested", "bulgur 52 min at 11 °C")
    assert (usual["outcome"], own["outcome"]) == ("impossible", "ready")
    assert own["latest"] == "16:55"  # 18:00 less 1.25 x 52 min: by hand


def test_weighings_give_the_time_of_pelegs_line(ask: Asked) -> None:
    # m - m0 = t/(0.2 + 0.01 t): 33.33 g after 10 min, 60 g after 30, 75 g after 60; by hand
    # k1/k2 = 20 min, 90 % after 9 x 20 min [PELEG-1988].
    weighed = [
        word
        for pair in ("10 min 133.333 g", "30 min 160 g", "60 min 175 g")
        for word in ("--weighed", pair)
    ]
    told = ask.data("soak-test", "bulgur", "--water-temp", "12", "--dry", "100g", *weighed)
    assert told["minutes"] == pytest.approx(180, abs=0.1)
    assert told["uptake_ml_per_g"] == pytest.approx(1, abs=0.001)


def test_raw_beans_stay_forbidden_however_soft_they_got(ask: Asked) -> None:
    words = ("soak-test", "black-beans-dry", "--water-temp", "12", "--done", "600")
    told = ask.data(*words, status=1)
    assert "error" in {one["severity"] for one in told["findings"]}


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("soak-test", "bulgur", "--water-temp", "11"), "soak-test-missing"),
        (
            ("soak-test", "bulgur", "--water-temp", "11", "--done", "9", "--dry", "80g"),
            "soak-test-missing",
        ),
        (
            (
                "soak-test", "bulgur", "--water-temp", "11", "--dry", "80g",
                "--weighed", "10 min 120g",
            ),
            "soak-test-unusable",
        ),
        (
            ("soak-test", "bulgur", "--water-temp", "11", "--weighed", "heavy"),
            "weighing-unclear",
        ),
        (
            ("soak", "bulgur", "--water-temp", "8", "--tested", "couscous 5 min at 11"),
            "soak-test-not-in-jar",
        ),
        (
            (
                "soak", "bulgur", "--water-temp", "8", "--tested", "bulgur 5 min at 11",
                "--tested", "bulgur 9 min at 4",
            ),
            "soak-test-twice",
        ),
        (
            ("soak", "bulgur", "--water-temp", "8", "--tested", "bulgur fast"),
            "soak-test-unclear",
        ),
        (
            ("wet", "--arrive", "18:00", "--soak", "40", "--tested", "bulgur 9 min at 4"),
            "soak-missing",
        ),
    ],
)  # fmt: skip
def test_bad_tests_are_told(ask: Asked, words: tuple[str, ...], code: str) -> None:
    status, out, err = ask(*words)
    assert (status, out) == (2, "")
    assert f"[{code}]" in err
