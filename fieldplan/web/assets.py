"""Files that a page loads, by the names under which they are served."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from importlib.resources import files

from fieldplan.report.pictures import hours_and_odds

_REPORT, _WEB = "fieldplan.report.html", "fieldplan.web"


def page_css() -> str:
    """The style sheet: that of maps, of pictures, then our own."""
    pictures = re.sub(r"</?style>", "", hours_and_odds.STYLE)
    return "\n".join((_text(_REPORT, "map.css"), pictures, _text(_WEB, "page.css")))


def route_js() -> str:
    """The script of maps: each that appears on the page is made lively, with the words that stand in it."""
    inner = _text(_REPORT, "words.js", "map.js") + _text(_WEB, "route.js")
    return f"""\
"use strict";
(() => {{
const begin = section => {{
const pageData = JSON.parse(section.querySelector(".words").textContent);
{inner}
lively(section);
}};
const look = () => {{
  for (const one of document.querySelectorAll(".field-route:not([data-lively])")) {{ one.dataset.lively = ""; begin(one); }}
}};
new MutationObserver(look).observe(document.documentElement, {{ childList: true, subtree: true }});
look();
}})();
"""


def _text(package: str, *names: str) -> str:
    return "\n".join(files(package).joinpath(name).read_text(encoding="utf-8") for name in names)


ASSETS: Mapping[str, tuple[str, Callable[[], str]]] = {
    "page.css": ("text/css", page_css),
    "route.js": ("text/javascript", route_js),
    "ended.js": ("text/javascript", lambda: _text(_WEB, "ended.js")),
    "where.css": ("text/css", lambda: _text("fieldplan.web.parts.where", "where.css")),
    "forms.css": ("text/css", lambda: _text("fieldplan.web.parts", "forms.css")),
}
"""Kind and content; a part that has a file of its own adds it here."""
