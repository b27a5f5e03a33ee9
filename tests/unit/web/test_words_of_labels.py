"""The planning page speaks in the words of its labels: no key of a job file, no table, no option of a command."""

from __future__ import annotations

import re

import pytest

from fieldplan.errors import problem
from fieldplan.jobfile.schema import SCHEMA
from fieldplan.report.words.phrases.of_form import PHRASES as OF_FORM
from fieldplan.report.words.phrases.table import PHRASES, ROOMS, phrase
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import _PLACE, hint_sentence, sentence
from fieldplan.web.parts.job.order import GROUPS, SHEETS

WHERE = {"file", "about", "key"}
KEYS = {key for table in SCHEMA.values() for key in table if "_" in key}
SPELLING = re.compile(
    r"\[\[?[a-z_.]+\]|\b\w+ = |\{line\}|job file|--[a-z]|(?<!\{)\b(?:" + "|".join(KEYS) + r")\b(?!:|\})"
)
SHOWN_BY_THE_FORM_ITSELF = ("default-used", "table-missing", "meant-line", "not-a-table")
"""Defaults stand by their labels; missing tables are boxes, and what is meant is confirmed by a button."""
NOT_ON_THE_PAGE = {
    *("season-ends-early", "letterhead-missing", "weather-some-drills", "no-weather-record", "file-exists"),
    *("metered-too-little", "acres-not-said/map", "acres-not-said/meter", "acres-not-said/to-sow"),
    *("step-setting/mix", "step-setting/uncharted", "weather-line", "weather-date"),
}
"""Of seasons, cards on paper and commands; two have the line of a file."""
ROOMS_OF_PLANS = ("jobfile", "seed", "work", "coverage", "weather", "files")


@pytest.mark.parametrize("room", ROOMS_OF_PLANS)
def test_no_sentence_of_a_plan_names_a_key_or_an_option(room: str) -> None:
    """What has a word of the job file in its usual sentence has another for the page."""
    for key in ROOMS[room]:
        if key in NOT_ON_THE_PAGE or key.startswith(SHOWN_BY_THE_FORM_ITSELF):
            continue
        words = phrase(key, fills_form=True)
        for text in (words.text, words.metric, words.hint, words.metric_hint, words.short):
            assert not SPELLING.search(text), (key, text)


@pytest.mark.parametrize("key", OF_FORM)
def test_a_sentence_of_the_form_asks_for_nothing_that_its_code_does_not_bring(key: str) -> None:
    """Its places are those of the usual sentence; what stands in quotes is a label of the page."""
    usual, ours = PHRASES[key], OF_FORM[key]
    brought = {name for text in (usual.text, usual.hint) for name in _names(text)} | WHERE
    assert {name for text in (ours.text, ours.hint) for name in _names(text)} <= brought
    labels = {box.label for sheet in SHEETS.values() for box in sheet.boxes} | {
        group.title for group in GROUPS
    }
    quoted = set(re.findall("“([^”{]*)”", f"{ours.text} {ours.hint}"))
    assert quoted <= labels | {"The job", "Distance to keep from it"}


def _names(template: str) -> set[str]:
    return {name for place in _PLACE.finditer(template) for name in (place["name"], place["to"]) if name}


def test_the_same_problem_for_the_page_and_for_a_command() -> None:
    """The command names the key to write, the page the box to fill in."""
    one = problem("start-missing", file="job.toml", about="[booking]", key="days_off")
    assert hint_sentence(one, Quantities("us")) == "start = 2027-05-10"
    page = Quantities("us", fills_form=True)
    assert hint_sentence(one, page) == "fill in “First day”"
    assert "“First day”" in sentence(one, page)
