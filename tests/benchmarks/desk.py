"""From a change on the planning page to its answer on the screen: median and 95th percentile, by fields of the job.

Measured in a browser on this machine: from the key or the click to the answer in the document. Two kinds of change: one that
no field is driven differently for (hours a day), and one for which a single field is covered anew (a corner moved).

    python -m tests.benchmarks.desk [--fields 1,3,10,60] [--changes 20] [--people 1]
"""

from __future__ import annotations

import argparse
import shutil
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np

from fieldplan.web.jobs import Jobs
from tests.desks import Served, served, small_draft

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
WATCH = """() => { window.answered = 0; const seen = () => document.querySelector('dl.cover').textContent;
let before = seen();
new MutationObserver(() => { const now = seen(); if (now !== before) { before = now; window.answered = performance.now(); } })
  .observe(document.querySelector('.answer'), {childList: true, subtree: true, characterData: true}); }"""
TYPE = """text => { const box = [...document.querySelectorAll('label')].find(one => one.textContent === 'Hours a day').control;
window.answered = 0; box.value = text; const now = performance.now();
box.dispatchEvent(new Event('input', {bubbles: true})); return now; }"""
MOVE = """() => { window.answered = 0; const now = performance.now();
[...document.querySelectorAll('button')].find(one => one.textContent === 'Move a corner').click(); return now; }"""


def main() -> None:
    """Measure and print a table."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--fields", default="1,3,10,60")
    parser.add_argument("--changes", type=int, default=20)
    parser.add_argument(
        "--people", type=int, default=1, help="others who change jobs of three fields meanwhile"
    )
    given = parser.parse_args()
    print("| fields | first answer | hours a day: median | 95th | a corner: median | 95th |")
    print("| --- | --- | --- | --- | --- | --- |")
    with tempfile.TemporaryDirectory() as folder, _browser() as browser:
        jobs = Jobs(Path(folder))
        with served(jobs.folder) as server:
            others = [_opened(browser, server, jobs, 3) for _ in range(given.people - 1)]
            for page in others:
                _ready(page)
            for n_fields in map(int, given.fields.split(",")):
                begun = time.perf_counter()
                page = _opened(browser, server, jobs, n_fields)
                _ready(page)
                first_s = time.perf_counter() - begun
                hours = _taken(page, TYPE, [f"{4 + n / 8} h" for n in range(given.changes)], others)
                corner = _taken(page, MOVE, [None] * max(3, given.changes // 4), others)
                cells = [f"{first_s:.1f} s", *(f"{ms:.0f} ms" for ms in (*_two(hours), *_two(corner)))]
                print(f"| {n_fields} | {' | '.join(cells)} |", flush=True)
                page.context.close()


def _two(took_ms: list[float]) -> tuple[float, float]:
    return float(np.median(took_ms)), float(np.percentile(took_ms, 95))


@contextmanager
def _browser() -> Iterator[Any]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=BROWSER, args=["--no-sandbox"])
        yield browser
        browser.close()


def _opened(browser: Any, server: Served, jobs: Jobs, n_fields: int) -> Any:
    name = jobs.free_name(f"{n_fields} fields")
    jobs.save(name, small_draft(n_fields), revision=0)
    page = browser.new_context(viewport={"width": 1280, "height": 900}).new_page()
    page.goto(f"{server.address}job/{name}")
    return page


def _ready(page: Any) -> None:
    page.wait_for_selector("dl.cover", timeout=600_000)
    page.evaluate(WATCH)


def _taken(page: Any, act: str, values: list[str | None], others: list[Any]) -> list[float]:
    """Milliseconds that each change takes; before each, every other person changes something too."""
    took_ms = []
    for n, value in enumerate(values):
        for k, other in enumerate(others):
            other.evaluate(TYPE, f"{5 + (n + k) % 7} h")
        begun = page.evaluate(act, value)
        page.wait_for_function("() => window.answered > 0", timeout=120_000, polling=20)
        took_ms.append(page.evaluate("() => window.answered") - begun)
        page.wait_for_timeout(250)  # the rest of the page is drawn
    return took_ms


if __name__ == "__main__":
    main()
