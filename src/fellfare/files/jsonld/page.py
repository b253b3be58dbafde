"""Where on a saved page is the recipe?  JSON-LD scripts of an HTML page, or plain JSON.

A page is looked through for its ``script`` elements only; nothing else of it is parsed, so
that ten megabytes of broken mark-up cost no more than ten megabytes of text.  Hostile
input ends in a :class:`Mistake` or in the list of what was not read.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from html.parser import HTMLParser
from typing import Any, Final

from msgspec import Struct

from fellfare.files.jsonld.words import printable, shown
from fellfare.mistake import Mistake

#: A saved page with its scripts is a few MB.
MOST_CHARACTERS: Final = 10_000_000
#: Scripts of JSON-LD that are looked at; pages have one to five.
MOST_SCRIPTS: Final = 50
#: Objects and lists that are looked at in search of the recipe.
MOST_NODES: Final = 200_000
#: Longest opening tag of a script that is looked at.
_MOST_TAG: Final = 4000

_OPENING: Final = re.compile(r"<!--|<script(?=[\s/>])", re.I)
_CLOSING: Final = re.compile(r"</script(?=[\s/>])", re.I)
_PREFIX: Final = re.compile(r"^(?:https?://(?:www\.)?schema\.org/|schema:)", re.I)


class Unread(Struct, frozen=True, kw_only=True):
    """One part that was not taken over."""

    #: 'image', 'script 2', 'HowToStep.video'.
    what: str
    why: str


def looks_like_page(text: str) -> bool:
    """Whether the text is JSON or HTML rather than a recipe that somebody typed."""
    start = text.lstrip("\ufeff \t\r\n")[:200]
    if start.startswith("{"):
        return True
    if start.startswith("["):
        return start[1:].lstrip()[:1] in ("{", "[")
    return bool(re.match(r"<[a-zA-Z!?]", start))


def found_recipe(text: str) -> tuple[dict[str, Any], dict[str, Any], list[Unread]]:
    """The one Recipe object of a page, all objects by their ``@id``, and what was not read.

    Raises
    ------
    Mistake
        ``page-too-large``, ``not-json``, ``no-recipe-found``, ``several-recipes``.
    """
    if len(text) > MOST_CHARACTERS:
        raise Mistake(
            "page-too-large",
            f"holds more than {MOST_CHARACTERS / 1e6:g} million characters",
            "save one page with one recipe",
        )
    roots, unread = _roots(text)
    recipes, by_id, types = _recipes(roots)
    if not recipes:
        seen = f" (there are: {', '.join(types[:8])})" if types else ""
        raise Mistake(
            "no-recipe-found",
            f"no schema.org Recipe stands in it{seen}",
            "copy the recipe's text from the page and give that instead",
        )
    names = list(dict.fromkeys(shown(one.get("name")) for one in recipes))
    if len(names) > 1:
        raise Mistake(
            "several-recipes",
            f"{len(names)} recipes stand in it: {'; '.join(names[:5])}",
            "save the page of one recipe",
        )
    others = [name for name in types if name != "Recipe"]
    if others:
        listed = ", ".join(others[:12]) + (" …" if len(others) > 12 else "")
        unread.append(Unread(what="other things on the page", why=listed))
    return max(recipes, key=len), by_id, unread


def _roots(text: str) -> tuple[list[Any], list[Unread]]:
    if not re.match(r"<", text.lstrip("\ufeff \t\r\n")[:1]):
        try:
            return [_loaded(text)], []
        except ValueError as error:
            raise Mistake(
                "not-json", f"is not JSON: {error}", "save the page or file again, whole"
            ) from error
    roots, unread = [], []
    for number, script in enumerate(_scripts(text), 1):
        if number > MOST_SCRIPTS:
            why = f"only the first {MOST_SCRIPTS} are read"
            unread.append(Unread(what="more JSON-LD scripts", why=why))
            break
        try:
            roots.append(_loaded(script))
        except ValueError as error:
            unread.append(Unread(what=f"script {number}", why=printable(f"is not JSON: {error}")))
    return roots, unread


def _scripts(page: str) -> Iterator[str]:
    """The contents of the scripts whose type is application/ld+json."""
    at = 0
    while found := _OPENING.search(page, at):
        if found.group() == "<!--":
            end = page.find("-->", found.end())
            if end < 0:
                return
            at = end + 3
            continue
        close = page.find(">", found.end(), found.end() + _MOST_TAG)
        if close < 0:
            at = found.end()
            continue
        closing = _CLOSING.search(page, close + 1)
        end = len(page) if closing is None else closing.start()
        if _type_of(page[found.start() : close + 1]) == "application/ld+json":
            yield page[close + 1 : end]
        at = end + 1 if closing is None else closing.end()


class _Tag(HTMLParser):
    """Reads the attributes of one opening tag."""

    kind = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.kind = next((value or "" for name, value in attrs if name == "type"), "")


def _type_of(tag: str) -> str:
    parser = _Tag()
    parser.feed(tag)
    return parser.kind.split(";")[0].strip().casefold()


def _loaded(text: str) -> Any:
    """JSON as the pages write it: control characters in strings, comment marks around it.

    Raises ``ValueError`` with a reason, whatever is wrong.
    """
    text = text.strip("\ufeff \t\r\n")
    for opening, closing in (("<!--", "-->"), ("//<![CDATA[", "//]]>"), ("<![CDATA[", "]]>")):
        if text.startswith(opening):
            text = text.removeprefix(opening).removesuffix(closing).strip()
    try:
        return json.loads(text, strict=False, object_hook=_plain, parse_constant=lambda _: None)
    except json.JSONDecodeError as error:
        raise ValueError(f"{error.msg} (line {error.lineno})") from error
    except RecursionError as error:
        raise ValueError("it is nested too deeply") from error


def _plain(node: dict[str, Any]) -> Any:
    """An object with bare property names; '@value' and '@list' wrappings are taken off."""
    for wrap in ("@value", "@list", "@set"):
        if wrap in node:
            return node[wrap]
    return {_PREFIX.sub("", key): value for key, value in node.items()}


def types_of(node: object) -> tuple[str, ...]:
    """The bare type names of an object."""
    told = node.get("@type") if isinstance(node, dict) else None
    names = told if isinstance(told, list) else [told]
    return tuple(_PREFIX.sub("", name) for name in names if isinstance(name, str))


def _recipes(roots: list[Any]) -> tuple[list[dict[str, Any]], dict[str, Any], list[str]]:
    """(recipes nearest to the root, objects by '@id', types on the way), level by level."""
    level, seen = roots, 0
    recipes: list[dict[str, Any]] = []
    by_id: dict[str, Any] = {}
    types: dict[str, None] = {}
    while level and seen < MOST_NODES:
        below: list[Any] = []
        here: list[dict[str, Any]] = []
        for node in level:
            seen += 1
            if isinstance(node, list):
                below += [one for one in node if isinstance(one, (dict, list))]
            elif isinstance(node, dict):
                own = types_of(node)
                if not recipes:
                    types |= dict.fromkeys(shown(name)[:40] for name in own)
                here += [node] * ("Recipe" in own)
                below += [one for one in node.values() if isinstance(one, (dict, list))]
                name = node.get("@id")
                if isinstance(name, str) and len(node) > 1:
                    by_id.setdefault(name, node)
        recipes = recipes or here
        level = below
    return recipes, by_id, list(types)
