"""A step that takes long says so, whatever stderr is."""

from __future__ import annotations

import math
import re
import time

import pytest

from fieldplan.cli import progress


def test_a_long_step_says_how_long_it_has_taken(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A line for each span of time that passes, with the name of the step; none after it."""
    monkeypatch.setattr(progress, "SIGN_OF_LIFE_S", 0.05)
    steps = progress.with_steps(["whom to serve", "least towing"])
    assert next(steps) == "whom to serve"
    time.sleep(0.3)
    assert next(steps) == "least towing"
    said = capsys.readouterr().err
    assert said.count("Scheduling: whom to serve, for ") >= 2
    assert "least towing" not in said
    assert list(steps) == []
    time.sleep(0.15)
    assert "whom" not in capsys.readouterr().err


def test_the_first_sign_comes_sooner(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """One line soon after the work began, and the next only after the longer span of time."""
    monkeypatch.setattr(progress, "_said_at", [-math.inf])
    monkeypatch.setattr(progress, "FIRST_SIGN_S", 0.1)
    for _ in progress.with_steps(["a", "b", "c"]):
        time.sleep(0.15)
    assert re.fullmatch(r"Scheduling: [ab], for 0 s so far\.\n", capsys.readouterr().err)


def test_seasons_say_how_far_they_are(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Seasons that are planned one after the other, as capacity does."""
    monkeypatch.setattr(progress, "SIGN_OF_LIFE_S", 0.2)
    for _ in progress.with_seasons([object()] * 5):
        time.sleep(0.12)
    assert re.match(r"Planning: [2-5] of 5, for ", capsys.readouterr().err)


def test_a_few_fields_that_take_long_are_not_silent(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two fields have no bar."""
    monkeypatch.setattr(progress, "get_ready", lambda: None)
    monkeypatch.setattr(progress, "SIGN_OF_LIFE_S", 0.1)
    for _ in progress.with_progress([object(), object()]):  # type: ignore[list-item]
        time.sleep(0.15)
    assert re.match(r"Planning: [12] of 2, for ", capsys.readouterr().err)


def test_many_short_steps_in_a_row_are_not_silent(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Steps that each take less than the span of time: it counts from the first of them."""
    monkeypatch.setattr(progress, "SIGN_OF_LIFE_S", 0.2)
    for _ in progress.with_steps(["a", "b", "c", "d", "e", "f"]):
        time.sleep(0.12)
    said = capsys.readouterr().err.splitlines()
    assert len(said) >= 2
    assert said[-1].startswith(("Scheduling: d", "Scheduling: e", "Scheduling: f"))


def test_no_pause_between_requests_and_steps_is_longer(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Steps that begin after a while of work count from the last line, not from their own beginning."""
    monkeypatch.setattr(progress, "SIGN_OF_LIFE_S", 0.5)
    for _ in progress.with_requests([object()]):  # type: ignore[list-item]
        time.sleep(0.3)
    assert capsys.readouterr().err == ""
    for _ in progress.with_steps(["a"]):
        time.sleep(0.35)
    assert capsys.readouterr().err.count("Scheduling: a, for ") == 1


def test_requests_say_how_far_they_are(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a stream that is no terminal too."""
    monkeypatch.setattr(progress, "SIGN_OF_LIFE_S", 0.2)
    for _ in progress.with_requests([object()] * 5):  # type: ignore[list-item]
        time.sleep(0.12)
    assert re.match(r"Planning: [2-5] of 5, for ", capsys.readouterr().err)


def test_a_short_step_says_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    """Pages and scripts are not disturbed."""
    assert list(progress.with_steps(["a", "b", "c"])) == ["a", "b", "c"]
    assert capsys.readouterr().err == ""
