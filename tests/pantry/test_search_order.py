"""The order in which a search names its foods, on an invented shelf."""

from __future__ import annotations

import re
from difflib import SequenceMatcher

import msgspec
import pytest

from fellfare.files.shipped import shipped_pantry
from fellfare.mistake import Mistake
from fellfare.pantry.food import Food
from fellfare.pantry.names import fold, singular
from fellfare.pantry.search import LIKENESS, Named, names_of, nearest, ranked


def food(name: str, *words: str) -> Named:
    plain = {"id": name.replace(" ", "-"), "name": name, "group": "spice", "form": "powder",
             "per_100g": {}, "source": {"kind": "unknown", "ref": "invented"},
             "words": list(words)}  # fmt: skip
    made = msgspec.convert(plain, Food)
    return made, names_of(made)


def found(text: str, *shelf: Named, most: int = 9) -> list[str]:
    return [one.name for one in ranked(text, shelf, most)]


def test_whole_name_then_beginning_then_words_then_beginnings_of_words() -> None:
    shelf = [food("wild red rice"), food("ricer red"), food("red rice flour"), food("red rice"),
             food("redrice")]  # fmt: skip
    assert found("red rice", *shelf) == ["red rice", "red rice flour", "wild red rice", "ricer red"]


def test_a_shorter_name_comes_before_a_longer_one_and_an_own_before_a_by_name() -> None:
    shelf = [food("rice long white"), food("rice white"), food("paddy", "rice")]
    assert found("rice", *shelf) == ["paddy", "rice white", "rice long white"]
    assert found("rice", food("paddy", "rice"), food("rice")) == ["rice", "paddy"]


def test_a_name_that_begins_with_the_first_word_comes_before_one_that_does_not() -> None:
    assert found("ric", food("wild rice"), food("rice wild")) == ["rice wild", "wild rice"]


def test_a_name_that_begins_with_the_words_comes_first_whatever_its_letter() -> None:
    assert found("zeta", food("alpha zeta"), food("zeta two")) == ["zeta two", "alpha zeta"]


def test_words_scattered_over_several_names_are_found_last() -> None:
    shelf = [food("paddy", "brown corn", "short rice"), food("brown rice seed")]
    assert found("brown rice", *shelf) == ["brown rice seed", "paddy"]


def test_only_so_many_are_told_and_nothing_finds_nothing() -> None:
    shelf = [food("rice a"), food("rice b"), food("rice c")]
    assert found("rice", *shelf, most=2) == ["rice a", "rice b"]
    assert found("", *shelf) == []
    assert found("qqqq", *shelf) == []


def test_the_nearest_writing_comes_first() -> None:
    shelf = [food("broccoli"), food("brocade"), food("broccoli dried")]
    assert [one.name for one in nearest("brocoli", shelf, 9)][:2] == ["broccoli", "broccoli dried"]
    assert [one.name for one in nearest("cous cous", [food("couscous"), food("rice")], 9)] == [
        "couscous"
    ]
    corn = [food("pop corn"), food("corn")]
    assert [one.name for one in nearest("popcorn", corn, 1)] == ["pop corn"]
    assert [one.name for one in nearest("thumb of gingr", [food("ginger"), food("oil of rose")], 9)
            ] == ["ginger"]  # fmt: skip
    assert nearest("", shelf, 9) == ()


@pytest.mark.parametrize(
    ("word", "one"),
    [
        # English plurals as any grammar has them; words of the kitchen that are none
        ("halves", "half"), ("loaves", "loaf"), ("cookies", "cookie"), ("pies", "pie"),
        ("potatoes", "potato"), ("peaches", "peach"), ("glasses", "glass"), ("quizzes", "quizz"),
        ("eggs", "egg"), ("gas", "gas"), ("peas", "pea"), ("is", "is"), ("cactus", "cactus"),
        ("basis", "basis"), ("grass", "grass"), ("ties", "tie"), ("cherries", "cherry"),
    ],
)  # fmt: skip
def test_a_plural_is_its_singular(word: str, one: str) -> None:
    assert singular(word) == one


@pytest.mark.parametrize(
    "asked", ["bulg", "kettel coconut", "tomatoe puder", "smoked paprica", "b"]
)
def test_the_index_finds_what_a_look_at_every_name_finds(asked: str) -> None:
    """difflib's own ratio over every word of every name: slow, and without any index."""
    pantry = shipped_pantry()
    words = fold(asked)

    def like(one: str, other: str) -> float:
        if one[:1] != other[:1] and abs(len(one) - len(other)) > 1:
            return 0.0
        ratio = SequenceMatcher(None, one, other, autojunk=False).ratio()
        return ratio if ratio >= LIKENESS else 0.0

    found = []
    for food, names in ((food, names_of(food)) for food in pantry):
        best = 0.0
        for name in names:
            hit = sum(max(like(word, part) for part in name) for word in words)
            score = hit / len(words) - 0.08 * max(0, len(name) - len(words))
            if len(words) != len(name):
                score = max(score, like("".join(words), "".join(name)) - 0.02)
            best = max(best, score)
        if best > 0.3:
            found.append((-best, len(food.name), food.id))
    with pytest.raises(Mistake) as caught:
        pantry.named(asked)
    assert [one for _, _, one in sorted(found)[:3]] == re.findall(
        r"[a-z0-9-]+(?= or |\?)", caught.value.mend.partition("did you mean ")[2]
    )
