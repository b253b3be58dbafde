"""A recipe ready to be sent out: plain text, Markdown, a card, or schema.org JSON-LD.

``told`` says what there is to say; each form is one file that only lays it out.  See
``docs/publishing.md``.
"""

from fellfare.files.publish.amounts import Measures
from fellfare.files.publish.card import card_text
from fellfare.files.publish.json_ld import json_ld
from fellfare.files.publish.markdown import markdown
from fellfare.files.publish.text import USUAL_LIMIT, plain_text
from fellfare.files.publish.told import Told, tell

__all__ = [
    "USUAL_LIMIT",
    "Measures",
    "Told",
    "card_text",
    "json_ld",
    "markdown",
    "plain_text",
    "tell",
]
