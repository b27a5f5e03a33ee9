"""Files that a page loads, by the names under which they are served."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib.resources import files


def _text(package: str, *names: str) -> str:
    return "\n".join(files(package).joinpath(name).read_text(encoding="utf-8") for name in names)


ASSETS: Mapping[str, tuple[str, Callable[[], str]]] = {
    "page.css": ("text/css", lambda: _text("fieldplan.web", "page.css", "parts/forms.css")),
    "route.js": ("text/javascript", lambda: ""),
}
"""Kind and content."""
