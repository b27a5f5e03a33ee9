"""The planning page as a person meets it: the answer, what is kept, and what is refused."""

from __future__ import annotations

import http.server
import json
import re
import threading
import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from conftest import TODAY
from desks import Served, served, small_draft, waited, with_hours

from fieldplan.cli.main import exit_code
from fieldplan.web.jobs import Jobs

Opened = Callable[..., Any]


@pytest.fixture(scope="module")
def jobs(tmp_path_factory: pytest.TempPathFactory) -> Jobs:
    """The folder of jobs that the server of this file has."""
    made = Jobs(tmp_path_factory.mktemp("jobs"))
    made.save("farm", small_draft(3), revision=0)
    return made


@pytest.fixture(scope="module")
def server(jobs: Jobs) -> Iterator[Served]:
    """A server for all tests of this file."""
    with served(jobs.folder) as running:
        yield running


@pytest.fixture
def window(browser: Any) -> Iterator[Opened]:
    """Opens windows; ``page.seen`` has every request, ``page.said`` what the browser complains of."""
    contexts = []

    def opened(address: str, width: int = 1280, **options: Any) -> Any:
        context = browser.new_context(viewport={"width": width, "height": 900}, **options)
        contexts.append(context)
        page = context.new_page()
        page.seen, page.said = [], []
        page.on("request", lambda request: page.seen.append(request.url))
        page.on("websocket", lambda socket: page.seen.append(socket.url))
        page.on("pageerror", lambda error: page.said.append(str(error)))
        page.on("console", lambda said: page.said.append(said.text) if said.type == "error" else None)
        page.goto(address)
        return page

    yield opened
    for context in contexts:
        context.close()


def _new(jobs: Jobs, n_fields: int = 1) -> str:
    """A new small job; its name."""
    name = jobs.free_name("job")
    jobs.save(name, small_draft(n_fields), revision=0)
    return name


def _shown(page: Any, name: str = "Book", seconds: float = 180.0) -> str:
    """What the strip answers, once it is up to date."""
    page.wait_for_function(
        "name => document.querySelector('.strip:not(.older)') && [...document.querySelectorAll('.strip b')].some(b => b.textContent === name)",
        arg=name,
        timeout=seconds * 1000,
    )
    return str(page.locator(".strip .of", has=page.locator("b", has_text=name)).inner_text())


def _type_hours(page: Any, text: str) -> None:
    page.get_by_label("Hours a day").fill(text)


def _flushed(window: Opened, server: Served, name: str) -> None:
    """Everything that pages of a job have to save is saved: that is done before the job is opened once more."""
    window(f"{server.address}job/{name}").close()


def _frames_with(page: Any, text: str) -> list[str | bytes]:
    """What leaves the page through its socket and has a text in it, as it leaves; ask before the page is opened."""
    left: list[str | bytes] = []

    def leaves(frame: str | bytes) -> None:
        if (text if isinstance(frame, str) else text.encode()) in frame:  # type: ignore[operator]
            left.append(frame)

    page.on("websocket", lambda socket: socket.on("framesent", leaves))
    return left


class Stalls:
    """How late this machine wakes what sleeps: a yardstick for what must happen within a time."""

    def __enter__(self) -> Stalls:
        self.longest_s, self._over = 0.0, False
        self._watch = threading.Thread(target=self._measure, daemon=True)
        self._watch.start()
        return self

    def _measure(self) -> None:
        while not self._over:
            before_s = time.monotonic()
            time.sleep(0.01)
            self.longest_s = max(self.longest_s, time.monotonic() - before_s - 0.01)

    def __exit__(self, *_: object) -> None:
        self._over = True
        self._watch.join()


def _saved_hours(jobs: Jobs, name: str) -> str:
    return str(jobs.take_up(name).draft.tables["booking"]["hours_per_day"])


def test_the_cover_is_that_of_the_command_line(
    server: Served, jobs: Jobs, window: Opened, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every answer of the page's cover has the words of ``fieldplan plan -q`` for the same files."""
    page = window(f"{server.address}job/farm")
    _shown(page)
    there = jobs.folder_of("farm")
    command = [
        "plan",
        str(there / "fields.gpkg"),
        "--job",
        str(there / "job.toml"),
        "-q",
        "--today",
        TODAY.isoformat(),
    ]
    assert exit_code(command) == 0
    printed = re.sub(r"[\s·•.:;,]+", " ", capsys.readouterr().out)
    answers = page.locator("dl.cover strong").all_inner_texts()
    assert len(answers) == 5
    for answer in answers:
        assert re.sub(r"[\s·•.:;,]+", " ", answer).strip() in printed, answer


def test_a_change_is_answered_within_half_a_second(server: Served, jobs: Jobs, window: Opened) -> None:
    """From the key that is pressed to the answer on the screen, for ten fields; the median of nine changes."""
    name = _new(jobs, 10)
    page = window(f"{server.address}job/{name}")
    _shown(page)
    page.evaluate(
        """() => { window.answered = []; const seen = () => document.querySelector('dl.cover').textContent;
        let before = seen();
        new MutationObserver(() => { const now = seen(); if (now !== before) { before = now; window.answered.push(performance.now()); } })
          .observe(document.querySelector('.answer'), {childList: true, subtree: true, characterData: true}); }"""
    )
    took_ms = []
    for n, hours in enumerate((4, 5, 6, 7, 9, 10, 11, 12, 13), start=1):
        typed = page.evaluate(
            """text => { const box = [...document.querySelectorAll('label')].find(one => one.textContent === 'Hours a day').control;
            box.value = text; const now = performance.now(); box.dispatchEvent(new Event('input', {bubbles: true})); return now; }""",
            f"{hours} h",
        )
        page.wait_for_function("n => window.answered.length >= n", arg=n, timeout=20_000)
        took_ms.append(page.evaluate("() => window.answered[window.answered.length - 1]") - typed)
    assert sorted(took_ms)[4] < 500, took_ms


def test_nothing_is_asked_of_another_host(server: Served, window: Opened) -> None:
    """Neither by the page of all jobs nor by that of a job; and the browser complains of nothing."""
    page = window(server.address)
    page.get_by_role("link", name="farm", exact=True).click()
    _shown(page)
    page.locator("svg.field").wait_for()
    page.wait_for_load_state("networkidle")
    hosts = {
        re.sub(r"^\w+://([^/]*)/.*", r"\1", url)
        for url in page.seen
        if not url.startswith(("data:", "blob:"))
    }
    assert hosts == {server.address.removeprefix("http://").rstrip("/")}
    assert page.said == []


def test_the_drive_is_played(server: Served, window: Opened) -> None:
    """Leg by leg on the map, with what each is."""
    page = window(f"{server.address}job/farm")
    _shown(page)
    page.get_by_role("button", name="next leg").click()
    assert page.locator(".caption").inner_text().startswith("1 of ")
    page.get_by_role("button", name="play").click()
    page.wait_for_function("() => document.querySelector('.caption').textContent.startsWith('3 of ')")
    page.get_by_role("button", name="stop").click()
    assert page.locator("svg.field .driven").get_attribute("d").count("M") >= 1
    page.locator(".how select").select_option("p2")
    page.wait_for_function("() => document.querySelector('svg.field title').textContent.includes('p2')")
    page.get_by_role("button", name="next leg").click()
    assert page.locator(".caption").inner_text().startswith("1 of ")


def test_a_reload_shows_what_was_typed_last(server: Served, jobs: Jobs, window: Opened) -> None:
    """At once after the last key, without any button."""
    name = _new(jobs)
    page = window(f"{server.address}job/{name}")
    _shown(page)
    _type_hours(page, "9.5 h")
    page.reload()
    _shown(page)
    assert page.get_by_label("Hours a day").input_value() == "9.5 h"
    assert _saved_hours(jobs, name) == "9.5 h"


def test_a_closed_window_loses_nothing(server: Served, jobs: Jobs, window: Opened) -> None:
    """The last key reaches the file though the window is closed right after it."""
    name = _new(jobs)
    page = window("about:blank")
    left = _frames_with(page, "6.5 h")
    page.goto(f"{server.address}job/{name}")
    _shown(page)
    _type_hours(page, "6.5 h")
    while not left:
        page.wait_for_timeout(1)
    page.close()
    waited(lambda: _saved_hours(jobs, name) == "6.5 h")


def test_a_killed_server_loses_half_a_second_at_most(browser: Any, tmp_path: Path) -> None:
    """Killed while a person types: what was typed half a second before (and as long as the machine itself stalled) is
    there when it is started again, in the same window, which comes back by itself.
    """
    jobs = Jobs(tmp_path)
    name = _new(jobs)
    with served(tmp_path) as server:
        context = browser.new_context()
        page = context.new_page()
        page.goto(f"{server.address}job/{name}")
        _shown(page)
        typed: list[tuple[float, str]] = []
        with Stalls() as stalls:
            for tenth in range(40, 72):
                text = f"{tenth / 10} h"
                _type_hours(page, text)
                typed.append((time.monotonic(), text))
                page.wait_for_timeout(60)
            killed_s = time.monotonic()
            server.kill()
        page.get_by_role("alert").get_by_text("fieldplan desk has stopped").wait_for()
        assert page.evaluate("() => document.querySelector('.put-in').inert")  # nothing typed now is lost
        kept = _saved_hours(jobs, name)
        lost = [
            text
            for at_s, text in typed[[text for _, text in typed].index(kept) + 1 :]
            if at_s < killed_s - 0.5 - stalls.longest_s
        ]
        assert lost == []
        server.start()
        page.wait_for_function(
            "text => [...document.querySelectorAll('input')].some(box => box.value === text)",
            arg=kept,
            timeout=60_000,
        )
        context.close()


def test_two_windows_do_not_overwrite_each_other(server: Served, jobs: Jobs, window: Opened) -> None:
    """The second is told, saves nothing over the first, and may take the newer state or keep its own as a job."""
    name = _new(jobs)
    first, second = (window(f"{server.address}job/{name}") for _ in range(2))
    for page in (first, second):
        _shown(page)
    _type_hours(first, "5 h")
    second.get_by_text("has been changed in another window").wait_for()
    _type_hours(second, "11 h")
    second.wait_for_function("() => / 11\\.0 h/.test(document.querySelector('dl.cover').textContent)")
    _flushed(window, server, name)
    assert _saved_hours(jobs, name) == "5 h"
    second.get_by_role("button", name="Keep mine as a job of its own").click()
    second.wait_for_url(re.compile(r"\(2\)|%282%29"))
    _shown(second)
    assert second.get_by_label("Hours a day").input_value() == "11 h"
    assert (_saved_hours(jobs, name), _saved_hours(jobs, f"{name} (2)")) == ("5 h", "11 h")


def test_the_newer_state_is_taken_and_can_be_undone(server: Served, jobs: Jobs, window: Opened) -> None:
    """What the second window had can be had back."""
    name = _new(jobs)
    first, second = (window(f"{server.address}job/{name}") for _ in range(2))
    for page in (first, second):
        _shown(page)
    _type_hours(first, "5 h")
    second.get_by_role("button", name="Show the newer state").click()
    second.wait_for_function(
        "() => [...document.querySelectorAll('input')].some(box => box.value === '5 h')"
    )
    _type_hours(second, "6 h")
    waited(lambda: _saved_hours(jobs, name) == "6 h")
    first.get_by_text("has been changed in another window").wait_for()
    second.get_by_role("button", name="Undo", exact=True).click()
    waited(lambda: _saved_hours(jobs, name) == "5 h")


def test_a_job_saved_by_another_program_is_not_overwritten(
    server: Served, jobs: Jobs, window: Opened
) -> None:
    """A second server on the same folder, say: the page is told when it saves."""
    name = _new(jobs)
    page = window(f"{server.address}job/{name}")
    _shown(page)
    kept = jobs.take_up(name)
    jobs.save(name, with_hours(kept.draft, "7 h"), revision=kept.revision, before=kept.draft)
    _type_hours(page, "11 h")
    page.get_by_text("has been changed in another window").wait_for()
    assert _saved_hours(jobs, name) == "7 h"


def test_a_newer_job_is_shown_and_not_saved(server: Served, jobs: Jobs, window: Opened) -> None:
    """With the reason in sight."""
    name = _new(jobs)
    desk = jobs.folder_of(name) / "desk.json"
    desk.write_text(
        json.dumps({"schema": "fieldplan/desk/1", "version": "99.1", "revision": 4}), encoding="utf-8"
    )
    before = {file.name: file.read_bytes() for file in jobs.folder_of(name).iterdir()}
    page = window(f"{server.address}job/{name}")
    _shown(page)
    page.get_by_role("alert").get_by_text("was made by fieldplan 99.1").wait_for()
    for part in ("Where", "The job", "What if"):
        group = page.get_by_role("region", name=part, exact=True).get_by_role(
            "group", name=re.compile("^Read only.*99.1")
        )
        assert group.is_visible()
    put_in = page.locator(".put-in")
    free = "one => [...one.querySelectorAll('input, select, textarea')].filter(box => !box.matches(':disabled')).map(box => box.labels[0]?.textContent)"
    assert put_in.evaluate(free) == ["Go to latitude, longitude", "Draw to neighbors' corners and edges"]
    assert page.get_by_label("Hours a day").is_disabled()
    page.evaluate(
        """() => { const box = [...document.querySelectorAll('label')].find(one => one.textContent === 'Hours a day').control;
        box.disabled = false; box.closest('fieldset').disabled = false; }"""
    )
    _type_hours(page, "11 h")  # in a page that somebody has changed
    page.get_by_role("button", name="Metric units").click()
    page.get_by_role("button", name="Metric units", pressed=True).wait_for()
    _flushed(window, server, name)
    assert {file.name: file.read_bytes() for file in jobs.folder_of(name).iterdir()} == before


@pytest.mark.parametrize("name", ["no such job", "..%2Ffarm", "%2Fetc", "farm%00", "a%2F..%2Ffarm"])
def test_what_is_no_job_is_not_opened(name: str, server: Served, window: Opened) -> None:
    """Names that lead elsewhere are no jobs; the page says so, or there is none."""
    page = window(f"{server.address}job/{name}")
    assert page.locator("dl.cover").count() == 0
    assert page.get_by_label("Hours a day").count() == 0


ATTACK = """<!doctype html><title>another site</title><script>
const own = "ADDRESS", tried = {};
const done = (name, what) => { tried[name] = what; };
const all = [
  fetch(own).then(answer => answer.text()).then(text => done("read", text.length), error => done("read", "refused")),
  fetch(own + "job/farm", {mode: "no-cors"}).then(answer => done("opaque", answer.type), () => done("opaque", "refused")),
  fetch(own, {method: "POST", mode: "no-cors", body: "x"}).then(answer => done("post", answer.type), () => done("post", "refused")),
  new Promise(ready => { const socket = new WebSocket(own.replace("http", "ws") + "_nicegui_ws/socket.io/?EIO=4&transport=websocket");
    socket.onopen = () => { done("socket", "open"); ready(); }; socket.onerror = () => { done("socket", "refused"); ready(); }; }),
  new Promise(ready => { const script = document.createElement("script"); script.src = own + "desk/route.js";
    script.onload = () => { done("script", "loaded"); ready(); }; script.onerror = () => { done("script", "refused"); ready(); }; document.head.append(script); }),
  new Promise(ready => { const frame = document.createElement("iframe"); frame.src = own + "job/farm"; document.documentElement.append(frame);
    setTimeout(() => { try { done("frame", frame.contentDocument === null ? "closed" : "open"); } catch { done("frame", "closed"); } ready(); }, 1500); }),
];
Promise.all(all).then(() => { window.tried = tried; });
</script>"""


class _Quiet(http.server.SimpleHTTPRequestHandler):
    def log_message(self, format: str, *args: object) -> None:
        """Say nothing."""


def test_another_site_cannot_drive_the_page(server: Served, window: Opened, tmp_path: Path) -> None:
    """A page from elsewhere that this browser has open reads nothing, sends nothing, frames nothing and gets no socket."""
    (tmp_path / "index.html").write_text(ATTACK.replace("ADDRESS", server.address), encoding="utf-8")
    elsewhere = http.server.ThreadingHTTPServer(("127.0.0.1", 0), partial(_Quiet, directory=str(tmp_path)))
    threading.Thread(target=elsewhere.serve_forever, daemon=True).start()
    try:
        page = window(f"http://127.0.0.1:{elsewhere.server_port}/index.html")
        page.wait_for_function("() => window.tried", timeout=20_000)
        tried = page.evaluate("() => window.tried")
        framed = [
            frame
            for frame in page.frames
            if frame.url.startswith(server.address) and frame.locator("dl.cover").count()
        ]
    finally:
        elsewhere.shutdown()
        elsewhere.server_close()
    assert tried["read"] == "refused"
    assert tried["socket"] == "refused"
    assert tried["script"] == "refused"
    assert framed == []
    # what a browser lets another site send without a question comes back as a refusal that it cannot read
    assert tried["opaque"] in ("refused", "opaque")
    assert tried["post"] in ("refused", "opaque")


def test_five_people_at_once(server: Served, jobs: Jobs, window: Opened) -> None:
    """Each with a job of his own: every one is answered, and each file has what its own person typed."""
    names = [_new(jobs, 2) for _ in range(5)]
    pages = [window(f"{server.address}job/{name}") for name in names]
    for page in pages:
        _shown(page)
    for n, page in enumerate(pages):
        _type_hours(page, f"{5 + n} h")
    for n, (name, page) in enumerate(zip(names, pages, strict=True)):
        waited(lambda name=name, n=n: _saved_hours(jobs, name) == f"{5 + n} h")
        page.wait_for_function(
            "said => new RegExp(said).test(document.querySelector('dl.cover').textContent)",
            arg=rf"fieldwork days? of {5 + n}\.0 h",
            timeout=20_000,
        )


@pytest.mark.parametrize(("width", "scheme"), [(1280, "light"), (360, "dark")])
def test_no_rule_of_accessibility_is_broken(
    width: int, scheme: str, server: Served, window: Opened
) -> None:
    """By axe-core, on the page of all jobs and on that of one with every part opened; and nothing is cut off sideways."""
    from axe_playwright_python.sync_playwright import Axe

    page = window(server.address, width, color_scheme=scheme)
    broken = Axe().run(page).response["violations"]
    page.goto(f"{server.address}job/farm")
    _shown(page)
    page.locator("svg.field").wait_for()
    page.evaluate("() => document.querySelectorAll('details').forEach(one => { one.open = true; })")
    broken += Axe().run(page).response["violations"]
    assert [(one["id"], [node["html"][:120] for node in one["nodes"]]) for one in broken] == []
    assert page.evaluate("() => document.documentElement.scrollWidth") <= width


def test_a_server_that_is_told_to_stop_saves_first(browser: Any, tmp_path: Path) -> None:
    """As soon as it knows of a key: what was typed is in the file."""
    jobs = Jobs(tmp_path)
    name = _new(jobs)
    context = browser.new_context()
    page = context.new_page()
    with served(tmp_path) as server:
        page.goto(f"{server.address}job/{name}")
        page.get_by_label("Hours a day").wait_for()
        page.wait_for_function("() => window.did_handshake")
        page.evaluate(
            """() => { const said = document.querySelector('.saving');
            new MutationObserver(() => { window.known = true; }).observe(said, {childList: true, subtree: true, characterData: true}); }"""
        )
        _type_hours(page, "7.5 h")
        page.wait_for_function("() => window.known")
        said = server.stop()
        assert _saved_hours(jobs, name) == "7.5 h"
        assert "Traceback" not in said
    context.close()


def test_how_far_a_long_plan_is_can_be_read(server: Served, jobs: Jobs, window: Opened) -> None:
    """Until it is done the strip tells fields planned of fields in all, and the page goes on taking changes."""
    name = jobs.free_name("long")
    jobs.save(name, small_draft(16, side_deg=0.0045), revision=0)
    page = window(f"{server.address}job/{name}")
    page.wait_for_function(
        "() => / of 16 fields/.test(document.querySelector('.strip').textContent)", timeout=60_000
    )
    _type_hours(page, "9.5 h")
    waited(lambda: _saved_hours(jobs, name) == "9.5 h")


SENSELESS = {
    "of nobody": '42["event",{"client_id":"nobody","id":1,"listener_id":"x","args":[]}]',
    "of no event": "42[" + '"a",' * 10 + "1]",
    "nine megabytes": "x" * 9_000_000,
    "half a handshake": '42["handshake",{}]',
}
SEND = """message => new Promise(done => { const socket = new WebSocket(location.origin.replace("http", "ws") + "/_nicegui_ws/socket.io/?EIO=4&transport=websocket");
socket.onopen = () => { socket.send("40"); setTimeout(() => { try { socket.send(message); } catch (error) { } setTimeout(done, 300); }, 200); }; socket.onerror = done; })"""


def test_messages_that_make_no_sense_do_no_harm(server: Served, jobs: Jobs, window: Opened) -> None:
    """Sent by a page of our own that somebody has changed: after each the server goes on answering others."""
    name = _new(jobs)
    page = window(f"{server.address}job/{name}")
    _shown(page)
    for n, (what, message) in enumerate(SENSELESS.items(), start=5):
        page.evaluate(SEND, message)
        _type_hours(page, f"{n} h")
        assert waited(lambda n=n: _saved_hours(jobs, name) == f"{n} h"), what
