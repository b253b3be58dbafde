"""What does a line of a method say?  Acts, times and water, clause by clause.

Nothing is guessed: a clause without an act, one that says what is *not* done, or
one with two times is refused.  What is read as boiled may be thought to be free
of germs, so a doubtful boil is worse here than a refusal.
"""

from __future__ import annotations

import re
from typing import Final, Literal

from fellfare.measure.reading import read_amount
from fellfare.measure.units import System
from fellfare.mistake import Mistake
from fellfare.recipe.document import Act

#: The verb that opens a clause says what is done; longer phrases first.
_ACTS: Final[tuple[tuple[str, Act], ...]] = (
    ("cold soak", "soak"), ("leave to soak", "soak"), ("let soak", "soak"), ("pre-soak", "soak"),
    ("cold-soak", "soak"), ("leave soaking", "soak"),
    ("bring to the boil", "boil"), ("bring to a boil", "boil"), ("bring back to the boil", "boil"),
    ("leave to simmer", "simmer"), ("let simmer", "simmer"), ("bring to a simmer", "simmer"),
    ("leave to stand", "rest"), ("let stand", "rest"), ("let sit", "rest"), ("set aside", "rest"),
    ("put the lid on", "rest"), ("put on the lid", "rest"), ("put a lid on", "rest"),
    ("serve up", "serve"), ("top with", "serve"), ("dry-fry", "toast"), ("dry-roast", "toast"),
    ("dry fry", "toast"), ("dry roast", "toast"),
    ("stir-fry", "fry"), ("pan-fry", "fry"),
    ("stir in", "mix"), ("soak", "soak"), ("rehydrate", "soak"), ("steep", "steep"),
    ("boil", "boil"), ("simmer", "simmer"), ("cook", "simmer"), ("fry", "fry"), ("sauté", "fry"),
    ("saute", "fry"), ("toast", "toast"), ("roast", "bake"), ("bake", "bake"), ("dry", "dry"),
    ("dehydrate", "dry"), ("mix", "mix"), ("combine", "mix"), ("stir", "mix"), ("shake", "mix"),
    ("whisk", "mix"), ("blend", "mix"), ("fold", "mix"), ("add", "mix"), ("dissolve", "mix"),
    ("crumble", "mix"), ("pour", "mix"), ("tip", "mix"), ("put", "mix"), ("place", "mix"),
    ("drop", "mix"), ("throw", "mix"), ("empty", "mix"), ("toss", "mix"), ("break", "mix"),
    ("rest", "rest"), ("wait", "rest"), ("leave", "rest"), ("let", "rest"), ("stand", "rest"),
    ("cover", "rest"), ("cool", "rest"), ("heat", "heat"), ("warm", "heat"), ("drain", "drain"),
    ("pack", "pack"), ("bag", "pack"), ("weigh", "pack"), ("seal", "pack"), ("serve", "serve"),
    ("eat", "serve"), ("top", "serve"), ("scatter", "serve"), ("sprinkle", "serve"),
    ("drizzle", "serve"), ("finish", "serve"), ("season", "serve"), ("garnish", "serve"),
    ("enjoy", "serve"), ("dig in", "serve"), ("spoon", "serve"), ("knead", "mix"),
    ("beat", "mix"), ("fluff", "mix"), ("spread", "mix"), ("thicken", "mix"), ("swirl", "mix"),
    ("chop", "mix"), ("slice", "mix"), ("cut", "mix"), ("crush", "mix"), ("grate", "mix"),
    ("mash", "mix"), ("grind", "mix"), ("squeeze", "mix"), ("melt", "heat"), ("reheat", "heat"),
    ("rub", "mix"), ("rinse", "drain"), ("divide", "pack"), ("preheat", "rest"), ("remove", "rest"),
)  # fmt: skip
#: Acts that heat: the safety rules may count on them.
_FIRE: Final = frozenset({"boil", "simmer", "fry", "bake", "toast", "heat"})
_HOT: Final = _FIRE | {"steep", "dry"}

#: An act word after one of these is a noun: 'the boil', 'over a low heat', 'the dry mix'.
_NOUN_AFTER: Final = frozenset(
    "the a an of low medium high gentle moderate full rolling your my our its their this that each"
    " another one on over in dry soup spice trail nut seasoning zip zip-lock ziplock freezer"
    " plastic food".split()
)
#: 'Dry' and 'warm' before one of these say how a thing is.
_SAID_OF: Final = frozenset(
    "ingredient ingredients mix mixture pan pot bag bags goods frying skillet milk stuff parts"
    " water place bowl day air pasta noodles things and".split()
)
#: Whole subordinate clauses say when or whether, not what: 'before you boil them'.
_SUBORDINATE: Final = re.compile(
    r"(?:\b(?:before|after|until|till|once|when|while|whilst|as soon as|if|unless|because|so that"
    r"|where)\b)[^,()]*"
)
_WHEN: Final = re.compile(r"\b(?:before|after|once|when|while|whilst|as soon as|if)\b[^,()]*", re.I)
#: What is said not to be done must never be read as done: it would kill nothing.
_NEGATED: Final = re.compile(
    r"\b(?:not|never|nor|neither|no need|needless|no longer|without|instead of|rather than|avoid"
    r"|unless|skip|cannot|except|leave out|omit|refrain)\b"
)
#: These say nothing of what is left undone.
_HARMLESS_NEGATION: Final = re.compile(
    r"\bwithout (?:a|the|its)? ?lid\b|\bso (?:that )?(?:it|they|nothing) (?:does|do|will|can)?"
    r" ?not (?:stick|burn|clump|catch|boil over)\b|\bif not\b"
    r"|\b(?:everything|all|all the ingredients) (?:except|apart from|other than|but)\b"
)
_DOUBTFUL: Final = re.compile(
    r"\b(?:if|optional|optionally|may|might|could|either|ideally|preferably|if possible)\b"
)
#: 'Put it in a cosy for 15 minutes' heats nothing, it only waits.
_KEPT_WARM: Final = re.compile(
    r"\b(?:put|place|wrap|tuck|leave|keep)\b[^,]*\b(?:cozy|cosy|insulated|towel|jacket|hat"
    r"|sleeping bag)\b"
)
#: 'Cook in a frying pan' is no simmer.
_COOK_IN_PAN: Final = re.compile(
    r"\bcook\b[^,]*\b(?:(?:frying|greased|oiled|hot|dry) pan|skillet|griddle"
    r"|in (?:the |a little |some )?(?:oil|butter|ghee|fat))\b"
)
#: What is done besides: 'simmer 10 minutes, adding water if needed'.
_BESIDES: Final = re.compile(r",\s*\w+ing\b[^,]*")
#: The pot leaves the fire: nothing is heated by that.
_OFF_THE_FIRE: Final = re.compile(
    r"\b(?:remove|take|lift|pull|move)\b(?:\s(?!heat\b)[^\s,]+){0,4}?\s(?:from|off)\s(?:of\s)?"
    r"(?:the\s)?(?:heat|stove|fire|flame|burner|boil)\b|\boff\s(?:the\s)?(?:heat|fire|flame)\b"
    r"|\bturn\s(?:the\s(?:heat|stove|gas|flame)\soff|off\s(?:the\s)?(?:heat|stove|gas|flame))\b"
)
_BOILING: Final = r"(?:boiling|just[ -]boiled|freshly boiled)\s+(?:hot\s+)?water"
#: Boiling water that meets food off the fire.
_POURED: Final = re.compile(
    r"\b(?:pour|add|cover|top up|soak|rehydrate|steep|stir in)\b[^.;]*?"
    rf"(?<!to )(?<!into )(?<!to the )(?<!into the )\b{_BOILING}"
)
#: 'Add the noodles to the boiling water': what follows says whether it stays on the fire.
_INTO_BOILING: Final = re.compile(rf"\b(?:to|into|in)\b[^,]{{0,40}}?\b{_BOILING}")
#: The water alone is brought to the boil: nothing else is boiled in it.
_WATER_ALONE: Final = re.compile(
    r"\bboil\s+(?:(?!(?:in|with|and)\b)[^\s,]+\s+){0,5}water\b"
    r"|\b(?:bring|heat)\s+(?:(?!(?:in|with|and)\b)[^\s,]+\s+){0,5}water\s+to\s+(?:(?:the|a)\s+)?boil\b"
    r"|^heat\s+(?:(?!(?:in|with|and)\b)[^\s,]+\s+){0,5}water\b"
)
_BROUGHT: Final = re.compile(
    r"\bbring\s+(?:(?!simmer\b)[^\s]+\s+){0,8}?(?:up\s)?(?:back\s)?to\s+(?:(?:the|a)\s+)?"
    r"(?:rolling\s)?boil\b"
)
_POUR: Final = re.compile(r"\b(?:pour|add|cover)\b")

_WORDS: Final = "half|an?|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve"
_NUMBER: Final = (
    r"(?:\d+/\d+|\d+(?:[.,]\d+)?(?:\s+\d+/\d+|\s*[¼½¾⅓⅔])?|[¼½¾⅓⅔]"
    rf"|(?:{_WORDS})(?:\s+an?)?(?:\s+and\s+a\s+half)?)"
)
_TIME: Final = re.compile(
    rf"(?<![\w/.,])(?P<every>every\s+)?(?P<first>{_NUMBER})(?:\s*(?:-|–|—|to|or)\s*(?P<last>{_NUMBER}))?"
    r"[\s-]*(?P<unit>minutes?|mins?|hours?|hrs?|h|days?|seconds?|secs?)\b"
    r"(?P<half>\s+and\s+a\s+half)?",
    re.I,
)
#: 'For less than 30 minutes' may be one minute; 'at least' may not.
_AT_MOST: Final = re.compile(
    r"\b(?:less than|fewer than|under|at most|at the most|no more than|not more than|up to|within"
    r"|max(?:imum)?(?: of)?)\s+(?:about\s+)?"
    r"(?=[\d¼½¾⅓⅔]|(?:half|an?|one|two|three|four|five|six)\b)"
    r"|\b(?:minutes?|mins?|hours?)\s+(?:or less|at most|max(?:imum)?)\b",
    re.I,
)
_TIME_TO_SOMETHING: Final = re.compile(rf"{_TIME.pattern}\s+(?:before|after|later)\b", re.I)
_UNIT_MINUTES: Final = {"d": 1440.0, "h": 60.0, "m": 1.0, "s": 1 / 60}
#: '1 hour and 30 minutes' is one time.
_ONE_TIME: Final = re.compile(r"\s*(?:,|and|&)?\s*", re.I)
_FIGURES: Final = r"[\d¼½¾⅓⅔⅛/.,]+(?:\s[\d¼½¾⅓⅔⅛/.,]+)*"
_WATER: Final = re.compile(
    rf"((?:about\s+)?(?:{_FIGURES}|\b(?:half\s)?(?:an?|one|two|three|four|five|six))\s?"
    r"(?:ml|millilit(?:re|er)s?|cl|dl|l|lit(?:re|er)s?|cups?|fl\.? ?oz\.?|fluid ounces?|tbsp"
    r"|tablespoons?|pints?|quarts?))"
    r"\s(?:of\s)?(?:(?:cold|cool|hot|boiling|warm|salted|just-boiled|boiled|treated|fresh|more|drinking"
    r"|filtered|clean)\s)*water\b",
    re.I,
)
_OF_WATER: Final = r"(?:(?:cold|cool|hot|warm|fresh|clean|drinking|tap|stream|lake)\s)*"
#: 'Treated cold water', 'water, treated'; also what says that it was not.
_TREATED: Final = re.compile(
    rf"\b(un-?|not\s|never\s)?treated\s{_OF_WATER}water\b"
    r"|\bwater,?\s(?:(?:that|which)\s)?(?:(?:is|was|has\sbeen|already)\s)*"
    r"(un-?|not\s|never\s)?treated\b",
    re.I,
)

#: After a comma or 'and' one of these opens a new act.
_OPENS: Final = (
    r"add|stir|mix|pour|tip|simmer|boil|soak|steep|fry|bake|drain|cook|season|scatter|sprinkle"
    r"|drizzle|top with|finish|serve|eat|enjoy|leave|let|wait|stand|rest(?!\s+of)|cover|remove"
    r"|take|turn off|fold|whisk|shake|heat|warm|bring|combine|set aside|crumble|dissolve|garnish"
    r"|put|place|toast(?=\s+(?:the|them|it|in|for|until))|dry(?=\s+(?:the|them|it|in|at|for))"
    r"|rehydrate|pack|seal|spoon|knead|beat|fluff|spread|thicken|swirl|melt|reheat|divide|mash"
    r"|bag(?=\s+(?:it|them|in|up|the))|cool"
)
_NEXT_ACT: Final = re.compile(
    rf",\s*(?:and\s+|then\s+|and\s+then\s+)?(?=(?:{_OPENS})\b)"
    rf"|\s(?:and|&)\s(?:then\s)?(?=(?:{_OPENS})\b)",
    re.I,
)
#: 'After 5 minutes, stir' tells how long the step before took.
_AFTER: Final = re.compile(
    rf"(?:^|(?<=[.;!]\s))after\s+(?:(?:about|another|a further)\s+)?({_TIME.pattern}),?\s+", re.I
)


#: 'When the water boils add the noodles' lacks its comma.
_NO_COMMA: Final = re.compile(
    r"((?:^|[.;!]\s|,\s)(?:when|once|as soon as)\b[^,.;!]{0,80}?)\s"
    r"(?=(?:add|stir|pour|tip|drop|put|crumble)\b)",
    re.I,
)


def sentences(text: str) -> list[list[str]]:
    """The clauses of each sentence, one act each ('add the rice and simmer' are two)."""
    text = _AFTER.sub(r"Wait \1. ", " ".join(text.split()))
    text = _NO_COMMA.sub(r"\1, ", text)
    parts = re.split(r"(?<=[.!;])\s(?!(?:or|until)\b)|;\s*", text)
    found = []
    for whole in parts:
        then = re.split(r",?\s(?:and then|then)\s", whole)
        inner = [part for one in then for part in _clauses_of(one)]
        found.append([part.strip().rstrip(".;!,") for part in inner if part.strip(" .;!,")])
    return [one for one in found if one]


def _clauses_of(sentence: str) -> list[str]:
    """Split before each verb that opens an act; 'boil water, pour over' is one."""
    parts: list[str] = []
    start = 0
    for match in _NEXT_ACT.finditer(sentence):
        head, tail = _plain(sentence[start : match.start()]), sentence[match.end() :]
        poured = _WATER_ALONE.search(head) and tail[:5].casefold() == "pour "
        if not poured and not _hangs(head) and _act(head):  # else 'over a low heat,'
            parts.append(sentence[start : match.start()])
            start = match.end()
    return [*parts, sentence[start:]]


def _hangs(head: str) -> bool:
    """Whether the words stand in a clause with 'when', 'not' …, which governs what follows too."""
    last = head.rsplit(",", 1)[-1].split()
    return bool(last) and (
        last[0] in ("if", "when", "once", "before", "after", "until", "never", "without", "instead")
        or last[:2] in (["do", "not"], ["no", "need"])
    )


def clauses(text: str) -> list[str]:
    """One act each: split at full stops, semicolons, 'then', and before verbs."""
    return [part for sentence in sentences(text) for part in sentence]


def _plain(clause: str) -> str:
    """Lower case, 'don't' written out; commas and brackets stay."""
    text = clause.casefold().replace("’", "'")
    text = re.sub(r"\b(can|do|does|did|is|wo|should|must|need)n't\b", r"\1 not", text)
    text = re.sub(r"\b(can|do|does|wo|should|must|need)nt\b", r"\1 not", text)
    text = re.sub(r"'s?\b", "", text)
    return " ".join(re.sub(r"[^\w\s,()-]", " ", text).replace(",", " , ").split())


def act_of(clause: str) -> Act:
    """What is done.

    Raises
    ------
    Mistake
        ``no-act``; ``negated-act``: it says what is not to be done;
        ``act-in-doubt``: it may be done, or not, or another act in its place.
    """
    plain = _plain(clause)
    act = _act(plain)
    negated = _NEGATED.search(_HARMLESS_NEGATION.sub(" ", plain))
    if negated and (act or _first_act(plain) or _WORD_OF_ACT.search(plain)):
        raise Mistake(
            "negated-act",
            f"{clause[:60]!r} says what is not done",
            "say only what is done; a warning goes under a heading 'Notes'",
        )
    if act is None:
        raise Mistake(
            "no-act",
            f"no act is recognised in {clause[:60]!r}",
            "open with what is done: soak, boil, simmer, steep, fry, toast, mix, rest, serve …;"
            " a remark goes under a heading 'Notes'",
        )
    if act in _HOT and (_DOUBTFUL.search(_BESIDES.sub(" ", plain)) or _other_act(plain, act)):
        raise Mistake(
            "act-in-doubt",
            f"{clause[:60]!r} leaves open what is done",
            f"say what is done: one act, without 'if', 'or' and the like ('{act} 10 minutes')",
        )
    return act


#: 'Boiling', 'cooked': no acts, but a negation beside them speaks of one.
_WORD_OF_ACT: Final = re.compile(
    r"\b(?:boil|simmer|cook|bak|fry|toast|roast|heat|soak|steep|dry|drain|stir|mix|add)\w*"
)


def _act(plain: str) -> Act | None:
    off = _OFF_THE_FIRE.search(plain)
    if off is not None:
        plain = f"{plain[: off.start()]} {plain[off.end() :]}".strip(" ,")
        return _first_act(_SUBORDINATE.sub(" ", plain)) or "rest"
    main = " ".join(_SUBORDINATE.sub(" ", plain).split())
    if _KEPT_WARM.search(main):
        return "rest"
    if _COOK_IN_PAN.search(main) and _first_act(main) == "simmer":
        return "fry"
    if _WATER_ALONE.search(main):
        return "steep" if _POUR.search(main) else "heat"
    if _POURED.search(main):
        return "steep"
    if _INTO_BOILING.search(main) and _first_act(main) in ("mix", "rest", "soak"):
        return "mix"
    if _BROUGHT.search(main):
        return "boil"
    return _first_act(main)


def _first_act(plain: str) -> Act | None:
    """The act whose word stands first; of two at one place the longer phrase."""
    found = _acts_in(plain)
    return found[0][1] if found else None


def _acts_in(plain: str) -> list[tuple[int, Act]]:
    """Every act word that is a verb, by its place."""
    words = plain.replace("(", " ( ").replace(")", " ) ").split()
    found: list[tuple[int, Act]] = []
    at = 0
    while at < len(words):
        for phrase, act in _ACTS_AS_WORDS:
            if tuple(words[at : at + len(phrase)]) == phrase and not _noun(words, at):
                found.append((at, act))
                at += len(phrase) - 1
                break
        at += 1
    return found


_ACTS_AS_WORDS: Final = tuple(
    sorted(((tuple(phrase.split()), act) for phrase, act in _ACTS), key=lambda one: -len(one[0]))
)


def _noun(words: list[str], at: int) -> bool:
    before = words[at - 1] if at else ""
    after = words[at + 1] if at + 1 < len(words) else ""
    if after == "of":  # 'pack of noodles'
        return True
    if words[at] in ("dry", "warm", "cool"):
        return after in _SAID_OF or before in (*_NOUN_AFTER, "pat", "is", "are", "too", "bone")
    return before in _NOUN_AFTER


def _other_act(plain: str, act: Act) -> bool:
    """'Boil or bake'."""
    tail = plain.partition(" or ")[2]
    other = _acts_in(tail)
    return bool(other) and other[0][0] == 0 and other[0][1] != act


def main_clause(clause: str) -> str:
    """Without 'until the rice is soft' and its like: what stands there is not acted on."""
    return " ".join(re.sub(_SUBORDINATE.pattern, " ", clause, flags=re.I).split())


def brings_to_the_boil(clause: str) -> bool:
    """'Bring to the boil': no time at the boil is meant by it."""
    return _BROUGHT.search(_plain(clause)) is not None


def heat_of_water(clause: str) -> Literal["boiling", "warm", "cold"] | None:
    """How hot the water is that the clause speaks of; None when it speaks of none."""
    plain = _plain(clause)
    if not re.search(r"\bwater\b", plain):
        return None
    if re.search(rf"\b{_BOILING}", plain):
        return "boiling"
    return "warm" if re.search(r"\b(?:hot|warm|heated)\b[^,]*\bwater\b", plain) else "cold"


def minutes_of(clause: str, act: Act) -> float | None:
    """The time named [min], or None.

    A boil counts with the shorter end of a range (it may have to kill
    something), a soak or rest with the longer one (it may become too long).
    'Stirring every 5 minutes' names no time of the act.

    Raises
    ------
    Mistake
        ``two-times``: more than one time, and they do not agree;
        ``longest-time-only``: 'boil up to 10 minutes' may be one.
    """
    if act in ("mix", "serve", "drain", "pack"):
        clause = _TIME_TO_SOMETHING.sub(" ", clause)  # 'add it 5 minutes before the end'
    clause = _WHEN.sub(" ", clause)
    times: list[float] = []
    end, unit_before = -1, ""
    for match in _TIME.finditer(clause):
        if match["every"] or re.search(r"\bevery\s*$", clause[: match.start()], re.I):
            continue
        unit = match["unit"][0].lower()
        written = match["first"] if act in _FIRE else match["last"] or match["first"]
        number = float(read_amount(f"{written} pieces").value) + (0.5 if match["half"] else 0.0)
        minutes = number * _UNIT_MINUTES[unit]
        joined = end >= 0 and _ONE_TIME.fullmatch(clause[end : match.start()])
        if joined and _UNIT_MINUTES[unit] < _UNIT_MINUTES[unit_before]:
            times[-1] += minutes
        else:
            times.append(minutes)
        end, unit_before = match.end(), unit
    if times and act in _HOT and _AT_MOST.search(clause):
        raise Mistake(
            "longest-time-only",
            f"{clause.strip()[:60]!r} says only how long at most",
            "write the shortest time that it is heated: '10 minutes'",
        )
    if len(set(times)) > 1:
        raise Mistake(
            "two-times",
            f"more than one time is named in {clause.strip()[:60]!r}",
            "write one act with its time in a sentence of its own",
        )
    return times[0] if times else None


def water_of(clause: str, system: System) -> str | None:
    """The water that the clause adds, as written: '110 ml'; None = none is named.

    Raises
    ------
    Mistake
        ``amount-…`` when it cannot be read.
    """
    found = _WATER.search(" ".join(clause.split()))
    if found is None:
        return None
    text = found.group(1).strip(" ,.")
    read_amount(text, system)
    return text


def only_water(text: str) -> str | None:
    """'500 ml' of '500 ml cold water, treated'; None when more than water is named."""
    found = _WATER.fullmatch(" ".join(text.split(",")[0].split()))
    return found.group(1).strip() if found else None


def water_treated_of(text: str) -> bool | None:
    """Whether the water of a clause or line is said to be treated; None when nobody says.

    Said with 'if', 'ideally' and the like, it is not said.
    """
    plain = " ".join(text.split())
    found = list(_TREATED.finditer(plain))
    if any(one[1] or one[2] for one in found):
        return False
    if not found or _DOUBTFUL.search(plain.casefold()):
        return None
    return True
