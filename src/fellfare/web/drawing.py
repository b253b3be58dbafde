"""How does a page get drawn?  One Jinja environment, strict about what it is not given."""

from __future__ import annotations

import re
from collections.abc import Hashable, Iterable
from datetime import datetime
from functools import cache, lru_cache
from pathlib import Path
from typing import Any, Final
from urllib.parse import quote

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from litestar.plugins.jinja import JinjaTemplateEngine
from litestar.response import Template
from markupsafe import Markup, escape

from fellfare.files.publish.names import spoken_name
from fellfare.pantry.allergens import agent_name
from fellfare.recipe.sheet import SheetLine
from fellfare.safety import no_rule_fired
from fellfare.web import figures
from fellfare.web.assets import address
from fellfare.web.here import Guest
from fellfare.web.icons import icon
from fellfare.web.work.news import news_of

_TEMPLATES: Final = Path(__file__).parent / "templates"


@cache
def environment() -> Environment:
    """The environment; what a template asks for and does not get is an error, not a blank."""
    made = Environment(
        loader=FileSystemLoader(_TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    for printing in (
        figures.mass, figures.volume, figures.temperature, figures.energy, figures.density,
        figures.per_100g, figures.per_oz, figures.distance, figures.height,
        figures.far, figures.far_unit, figures.high, figures.high_unit,
        figures.spread, figures.energy_spread, figures.share, figures.minutes, figures.trust,
    ):  # fmt: skip
        made.filters[printing.__name__] = printing
    made.filters["address"] = in_address
    made.filters["agent"] = agent_name
    made.filters["moment"] = moment
    made.filters["large"] = large
    made.filters["line_figures"] = line_figures
    made.filters["rows_of"] = rows_of
    made.filters["paged"] = without_commands
    made.filters["zip_self"] = lambda words: [(word, word.replace("-", " ")) for word in words]
    made.filters["plain_name"] = lambda text: str(text).replace("-", " ")
    made.globals.update(
        icon=icon, asset=address, no_rule_fired=no_rule_fired, spoken_name=spoken_name,
        kept=kept, job_news=news_of,
    )  # fmt: skip
    return made


def engine() -> JinjaTemplateEngine:
    """The same for the framework, which adds ``csrf_input`` and ``csrf_token()``."""
    return JinjaTemplateEngine.from_environment(environment())


@lru_cache(4096, typed=True)
def kept(macro: str, *given: Hashable) -> Markup:
    """A macro of ``kept.html``, drawn once for these values: ``{{ kept("finding", one) }}``.

    For small parts that stand alike on page after page, and in answer after answer while
    somebody types.  The values are frozen, and everything that is drawn comes from them.
    """
    module = environment().get_template("kept.html").module
    return Markup(getattr(module, macro)(*given))  # Jinja has escaped what is in it


def line_figures(line: SheetLine, written: str, units: figures.Units) -> Markup:
    """What one line weighs and brings; its food by name where ``written`` is not the food's id."""
    measure = line.weighed.measure
    return kept(
        "line_figures", line.mass_g, line.energy_kcal, line.food.per_100g.energy_kcal,
        "" if measure == "by mass" else measure, "" if line.food.id == written else line.food.name,
        units,
    )  # fmt: skip


def rows_of(names: Iterable[str]) -> frozenset[str]:
    """'line-3-food' → 'line-3': the rows of a form to which fields belong."""
    return frozenset(name.rpartition("-")[0] for name in names)


def large(text: str, more: str = "") -> Markup:
    """A large figure: what stands in brackets behind it comes small, below; then ``more``."""
    first, _, rest = text.partition(" (")
    text = str(escape(first))
    for part in (rest.rstrip(")"), more):
        if part:
            text += f"<small>{escape(part)}</small>"
    return Markup(text)  # escaped part by part


@lru_cache(4096)
def in_address(text: object) -> str:
    """A name as one part of an address."""
    return quote(str(text), safe="")


#: Advice in the words of the command line; a page has buttons instead.
_COMMAND: Final = re.compile(r"\s*\([^()]*'fellfare [^()]*\)")


def without_commands(text: str) -> str:
    """The words of a mistake without what they say of the command line."""
    return _COMMAND.sub("", text)


def moment(when: datetime) -> str:
    """'25 Nov 2026, 14:05' in the time of the machine that serves."""
    here = when.astimezone()
    return f"{here.day} {here:%b %Y, %H:%M}"


def page(
    here: Guest, template: str, room: str = "", /, *, status: int = 200, **given: Any
) -> Template:
    """One page or fragment.

    Parameters
    ----------
    here
        The request; templates find ``here`` and ``units``.
    template
        The file, below ``templates``.
    room
        Key of :data:`fellfare.web.rooms.ROOMS`, to mark the way.
    status
        422 when a field was not accepted.
    given
        What else the template names.
    """
    context = {"here": here, "units": here.units, "room": room} | given
    return Template(template_name=template, context=context, status_code=status)
