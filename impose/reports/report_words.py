"""Words of the trade in the report: explained in the part of it that uses them first."""

from __future__ import annotations

import re
from html import unescape
from typing import TYPE_CHECKING, Final

from impose.reports.glossary import Explainer

if TYPE_CHECKING:
    from markupsafe import Markup

#: Drawings have words, too, but not sentences; names of files are not words.
_UNREAD: Final = re.compile(r"<svg\b.*?</svg>|<bdi\b.*?</bdi>|<h1\b.*?</h1>", re.DOTALL)
_TAG: Final = re.compile(r"<[^>]*>")


def explained(part: str, words: Explainer) -> Markup:
    """A finished part of the page, with the terms that it uses first at its end."""
    from markupsafe import Markup  # comes with the template engine, which is slow to import

    text = unescape(_TAG.sub(" ", _UNREAD.sub(" ", part)))
    terms = words.new_in(text)
    rows = [
        Markup("<div><dt><dfn>{}</dfn></dt><dd>{}</dd></div>").format(term.word, term.meaning)
        for term in terms
    ]
    if not rows:
        return Markup(part)
    opened = Markup('<dl class="words" aria-label="Words used here">')
    return Markup(part) + opened + Markup("").join(rows) + Markup("</dl>")
