"""Every command's page, in both systems, every file's text and every refusal, compared with the text that
was reviewed.

``pytest tests/golden --rewrite`` writes the pages anew; what changed is then read with ``git diff``.
"""

from __future__ import annotations

import difflib
from pathlib import Path

import pytest
from golden.bench import Bench
from golden.page_list import PAGES, Page, commands
from golden.refusals import REFUSALS, Refusal

FOLDER = Path(__file__).parent / "pages"
HOW = (
    "If the new text is better, write it with: pytest tests/golden --rewrite, and review it with git diff."
)
MAX_LINES = 60
"""Lines of a difference that are shown."""


def _path(name: str) -> Path:
    return FOLDER / f"{name}.txt"


def _hold(name: str, now: str, request: pytest.FixtureRequest) -> None:
    """Compare a page with its file, or write it."""
    path = _path(name)
    if request.config.getoption("--rewrite", default=False):
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(now, encoding="utf-8", newline="\n")
        return
    was = path.read_text(encoding="utf-8") if path.exists() else ""
    if now != was:
        lines = list(
            difflib.unified_diff(
                was.splitlines(), now.splitlines(), f"pages/{name}.txt", "now", n=1, lineterm=""
            )
        )
        more = [f"… and {len(lines) - MAX_LINES} lines more"] if len(lines) > MAX_LINES else []
        pytest.fail("\n".join(["", *lines[:MAX_LINES], *more, HOW]), pytrace=False)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_page_is_as_it_was_reviewed(page: Page, bench: Bench, request: pytest.FixtureRequest) -> None:
    """Word for word."""
    _hold(page.name, page.text(bench), request)


@pytest.mark.parametrize("refusal", REFUSALS, ids=lambda refusal: refusal.name)
def test_refusal_is_as_it_was_reviewed(
    refusal: Refusal, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    """Exit code, what is printed and what is said beside it."""
    _hold(f"refusals/{refusal.name}", refusal.text(tmp_path), request)


def test_every_file_belongs_to_a_page() -> None:
    """No page is left behind when its command goes, and none is made twice."""
    names = [page.name for page in PAGES] + [f"refusals/{one.name}" for one in REFUSALS]
    assert len(names) == len(set(names))
    assert {_path(name) for name in names} == set(FOLDER.rglob("*.*"))


def test_every_command_has_a_page_of_its_own() -> None:
    """Besides its help."""
    printed = [page.line.split() for page in PAGES if "--help" not in page.line]
    groups = {words[:-1] for words in commands() if words}
    lacking = [
        words
        for words in commands()
        if words not in groups and not any(tuple(line[: len(words)]) == words for line in printed)
    ]
    assert not lacking


def test_every_command_that_knows_units_has_a_page_in_both() -> None:
    """Found by its own help."""
    for words in commands():
        shown = _path(f"help/{'-'.join(words) or 'fieldplan'}").read_text(encoding="utf-8")
        if "--units" in shown:
            lines = [page.line for page in PAGES if page.line.startswith(" ".join(words))]
            assert all(any(f"--units {system}" in line for line in lines) for system in ("us", "metric")), (
                words
            )
