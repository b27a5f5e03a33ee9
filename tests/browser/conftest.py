"""A browser, and the page of the restoration job as a plan writes it."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from conftest import ROOT, SAMPLES

from fieldplan.cli.main import exit_code

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """A browser without a window, one for a file of tests: while it runs, no other test can run a loop of its own."""
    if BROWSER is None:
        pytest.skip("no browser on this machine (.ci/run installs one)")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=BROWSER, args=["--no-sandbox"])
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The page, the maps and the JSON of the restoration job."""
    out = tmp_path_factory.mktemp("page")
    job = str(SAMPLES / "restoration.toml")
    names = ["--write", "page,json,svg", "--legs", "-q"]
    assert (
        exit_code(["plan", str(SAMPLES / "restoration.zip"), "--job", job, "--out", str(out), *names]) == 0
    )
    return out


@pytest.fixture(scope="session")
def desk_served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, Path]]:
    """``fieldplan desk`` as a person starts it, with a district's drill beside its jobs: its address and its folder."""
    pytest.importorskip("nicegui", reason="the extra web is not installed")
    folder = tmp_path_factory.mktemp("jobs")
    (folder / "drills").mkdir()
    shutil.copy(SAMPLES / "restoration.toml", folder / "drills" / "ten-foot.toml")
    command = [sys.executable, "-m", "fieldplan", "desk", "--no-browser", "--port", "0", "--folder", str(folder)]  # fmt: skip
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=ROOT, env=environment) as server:
        assert server.stdout is not None
        yield server.stdout.readline().strip(), folder
        server.terminate()


Opener = Callable[..., Any]


@pytest.fixture
def opener(browser: Any, written: Path) -> Iterator[Opener]:
    """Opens a file, or else the page, in a window of a width; what it asks for and its errors are in ``page.seen``."""
    contexts = []

    def opened(width: int = 390, path: Path | None = None, **options: Any) -> Any:
        context = browser.new_context(viewport={"width": width, "height": 800}, **options)
        contexts.append(context)
        page = context.new_page()
        page.seen = []
        page.on("request", lambda request: page.seen.append(request.url))
        page.on("pageerror", lambda error: page.seen.append(str(error)))
        page.goto((path or written / "plan.html").as_uri())
        return page

    yield opened
    for context in contexts:
        context.close()
