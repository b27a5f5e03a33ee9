"""The cover: the same facts at the start of the page, of the HTML page and of the PDF, and in plan.json."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from html import unescape
from typing import Any

import pytest
from conftest import unwrapped
from pypdf import PdfReader

from fieldplan.facts import fact
from fieldplan.model.cost import OWN_NEED, CostTerms, TractorCheck, Verdict
from fieldplan.model.cover import Answer, Question, cover_of
from fieldplan.model.job import Job
from fieldplan.model.notes import Note
from fieldplan.model.plan import Plan
from fieldplan.model.work import Odds
from fieldplan.report.data.plan_json import plan_object
from fieldplan.report.html.page import html_page
from fieldplan.report.paper.cover import cover_sheet
from fieldplan.report.text.plan_page import short_answer
from fieldplan.report.typeset import Paper
from fieldplan.report.words.cover import told
from fieldplan.report.words.quantities import Quantities

US, METRIC = Quantities("us"), Quantities("metric")
KEYS = re.compile(r"\b\w+ in \[+[\w.]+\]+|pto_power|rate_card|\[\[?(?:drill|booking|mix|cost|tractor)")


def _answer(plan: Plan, question: Question) -> Answer:
    return next(one for one in cover_of(plan) if one.question == question)


def _codes(plan: Plan, question: Question) -> tuple[str, list[str], list[str]]:
    one = _answer(plan, question)
    return one.says.code, [why.code for why in one.why], [lack.code for lack in one.lacks]


def _with_job(plan: Plan, change: Callable[[Job], Job]) -> Plan:
    return replace(plan, job=change(plan.job))


def _checks(*verdicts: tuple[str, Verdict]) -> tuple[TractorCheck, ...]:
    text = fact("tractor-power/asked-enough", have_w=6e4, need_w=5e4)
    return tuple(
        TractorCheck(about=about, verdict=verdict, text=text, sources=(OWN_NEED,))
        for about, verdict in verdicts
    )


FIT = (("power", "pass"), ("hydraulics", "pass"), ("hitch", "pass"))


def test_the_answers_come_in_the_order_in_which_they_are_needed(ponds: Plan) -> None:
    """Book, seed, tractor, fee, ask."""
    assert [one.question for one in cover_of(ponds)] == ["book", "seed", "tractor", "fee", "ask"]


def test_its_figures_are_those_of_the_plan(ponds: Plan) -> None:
    """Days and odds of the booking, bags of the order, the bill and its deposit."""
    book = _answer(ponds, "book").says.values
    assert (book["n_days"], book["done_prob"]) == (ponds.booking.suggested_days, ponds.booking.prob)
    seed = _answer(ponds, "seed")
    assert seed.says.values["n_bags"] == ponds.bags
    assert [why.values["n_bags"] for why in seed.why] == [line.bags for line in ponds.order]
    fee = ponds.cost.fee
    assert fee is not None
    shown = unwrapped(short_answer(ponds, US))
    assert f"${fee.total:,.2f} for {ponds.booking.suggested_days} days" in shown
    assert f"a refundable deposit of ${fee.deposits:,.2f}" in shown


@pytest.mark.parametrize(
    ("verdicts", "code"),
    [
        (FIT, "cover-tractor/yes"),
        ((*FIT, ("ballast", "ask"), ("road width", "ask")), "cover-tractor/yes"),
        ((*FIT, ("road width", "warn")), "cover-tractor/care"),
        ((("power", "ask"), *FIT[1:]), "cover-tractor/not-known"),
        ((("power", "ask"), ("hydraulics", "fail"), ("hitch", "pass")), "cover-tractor/no"),
        ((*FIT, ("slope", "fail")), "cover-tractor/no"),
    ],
)
def test_a_tractor_fits_if_no_check_fails_and_those_of_its_fit_were_made(
    verdicts: tuple[tuple[str, Verdict], ...], code: str, ponds: Plan
) -> None:
    """Ballast and the road are asked about however it fits; one that cannot be checked is not known to fit."""
    plan = replace(ponds, tractor=_checks(*verdicts))
    says, why, _ = _codes(plan, "tractor")
    assert says == code
    assert why


def test_what_is_not_known_says_how_to_supply_it(ponds: Plan) -> None:
    """No start, no price, no test date, no number of a lot, no word on treatment; no rate card; nothing of the drill."""
    assert _codes(ponds, "book")[2] == ["cover-lacks/start"]
    lots = _answer(ponds, "seed").lacks
    assert [lack.values["keys"] for lack in lots] == [("tested", "price", "treated")]
    nameless = replace(ponds, order=tuple(replace(line, lot="") for line in ponds.order))
    assert _answer(nameless, "seed").lacks[0].values["keys"] == ("lot", "price")
    cardless = _with_job(ponds, lambda job: replace(job, cost=CostTerms()))
    assert _codes(cardless, "fee") == ("cover-fee/not-known", [], ["cover-lacks/rate-card"])
    assert "cover-ask/fee" in _codes(cardless, "ask")[1]
    drill = _answer(ponds, "ask").lacks[0].values["keys"]
    assert drill == ("min_pto_power", "min_remotes", "hitch", "weight", "transport_width", "metering")


def test_what_is_known_is_not_asked(ponds: Plan) -> None:
    """A drill of which all is posted leaves the days, and the manual to take along."""
    drill = ponds.job.drill
    posted = replace(
        drill,
        **{"min_pto_power_w": 5e4, "min_remotes": 1, "hitch": ponds.job.tractor.hitch},
        **{"weight_kg": 2000.0, "transport_width_m": 3.0},
        boxes=tuple(replace(box, metering_m3_per_m2=(1e-6, 1e-3)) for box in drill.boxes),
    )
    plan = _with_job(ponds, lambda job: replace(job, drill=posted))
    assert _codes(plan, "ask") == ("cover-ask", ["cover-ask/free", "cover-ask/manual"], [])


def test_days_that_cannot_be_booked_and_a_job_without_ground(ponds: Plan) -> None:
    """The work is said beside; nothing to buy, and no fee by days."""
    none = replace(ponds, booking=replace(ponds.booking, suggested_days=None, finish=None))
    assert _codes(none, "book")[0] == "cover-book/none"
    unbilled = replace(none, cost=replace(none.cost, fee=None))
    assert _codes(unbilled, "fee")[0] == "cover-fee/no-days"
    nothing = replace(none, booking=replace(none.booking, odds=()), order=())
    assert [_codes(nothing, question)[0] for question in ("book", "seed")] == [
        "cover-book/nothing",
        "cover-seed/nothing",
    ]


def test_dates_and_years_stand_in_the_answer(ponds: Plan) -> None:
    """From the start on, over the days to book; the day to be done by and the last safe start."""
    days = ponds.booking.suggested_days or 0
    terms = replace(ponds.job.booking, start=date(2027, 5, 3), finish_by=date(2027, 6, 5))
    dated = replace(
        ponds,
        job=replace(ponds.job, booking=terms),
        booking=replace(ponds.booking, finish=date(2027, 5, 2 + days), latest_start=date(2027, 5, 22)),
    )
    text = unwrapped(short_answer(dated, US))
    assert f"BOOK Mon 03 May 2027 to {date(2027, 5, 2 + days):%a %d %b %Y}, {days} days, " in text
    assert "to be done by Sat 05 Jun 2027 with 80 % odds, start by Sat 22 May 2027" in text
    assert not _answer(dated, "book").lacks


def test_json_has_the_same_facts_with_their_values(restoration: Plan) -> None:
    """By what they answer, each with its code, values in SI and sentence; the keys that were there stay."""
    found: dict[str, Any] = plan_object(restoration)
    assert list(found["cover"]) == ["book", "seed", "tractor", "fee", "ask"]
    for one in cover_of(restoration):
        said = found["cover"][one.question]
        assert said["says"]["code"] == one.says.code
        assert [why["code"] for why in said["why"]] == [why.code for why in one.why]
        assert all(why["text"] for why in (*said["why"], *said["lacks"]))
    lots = [why for why in found["cover"]["seed"]["why"] if why["code"] == "cover-lot"]
    assert [(why["values"]["species"], why["values"]["n_bags"]) for why in lots] == [
        (line["species"], line["bags"]) for line in found["order"]
    ]


def _sheet(plan: Plan, q: Quantities, paper: Paper) -> tuple[int, str]:
    pages = PdfReader(io.BytesIO(cover_sheet(plan, "fields.zip", q, paper))).pages
    return len(pages), unwrapped("\n".join(page.extract_text() for page in pages)).replace("\xa0", " ")


@pytest.mark.parametrize(("q", "paper"), [(US, "us-letter"), (METRIC, "a4")])
def test_the_paper_has_all_answers_on_one_page_and_no_key_of_the_job_file(
    q: Quantities, paper: Paper, restoration: Plan, ponds: Plan
) -> None:
    """However many lots and warnings there are, all of them stand on it."""
    warning = Note(
        code="parts-missed", warning=True, values={"n_missed": 1, "n_parts": 2, "parts_m2": 200.0}
    )
    warned = replace(ponds, notes=(*ponds.notes, *(replace(warning, field_id=f"f{n}") for n in range(5))))
    many = replace(
        restoration, order=tuple(replace(line, lot=f"L{n}") for n in range(4) for line in restoration.order)
    )
    for plan in (ponds, restoration, warned, many):
        n_pages, text = _sheet(plan, q, paper)
        assert n_pages == 1
        for one in told(plan, q):
            for said in (one.name.upper(), one.says, *one.why):
                assert unwrapped(said) in text
        assert not KEYS.search(text)
        assert text.count("Warning:") == len({note.code for note in plan.notes if note.warning})


def test_the_paper_is_named_for_its_fields(ponds: Plan) -> None:
    """In the properties of the file, for who has many of them open."""
    title = PdfReader(io.BytesIO(cover_sheet(ponds, "fields.zip", US, "a4"))).metadata
    assert title is not None
    assert title.title == "Cover of the job: pond Sleet Pond, sliver Ditchgrass Strip"


def test_the_html_page_begins_with_the_same_answers(restoration: Plan) -> None:
    """Before its list of fields and before any map, as terms and texts."""
    html = html_page(restoration, "fields.zip", US)
    head = html[html.index("<h1>") : html.index('id="fields"')]
    shown = unwrapped(unescape(re.sub(r"<[^>]+>", " ", head))).replace("\xa0", " ")
    at = 0
    for one in told(restoration, US):
        for said in (one.name, one.says, *one.why, one.give):
            found = shown.find(unwrapped(said), at)
            assert found >= 0, said
            at = found
    assert "the drill's meter will read about" in shown[at:]


def test_a_map_has_its_legend_once(ponds: Plan) -> None:
    """As a list beside the map: the drawing has none of its own."""
    html = html_page(ponds, "fields.zip", US)
    assert html.count('<ul class="legend">') == len(ponds.fields)
    maps = re.findall(r'<svg class="field".*?</svg>', html, re.DOTALL)
    assert len(maps) == len(ponds.fields)
    entries = re.findall(r"</svg> ([^<]+)</li>", html)
    assert len(entries) > 4
    assert not [entry for entry in entries for drawn in maps if f">{entry}<" in drawn]


def test_odds_just_below_those_asked_for_do_not_read_like_them(ponds: Plan) -> None:
    """79.96 % is 79.9 % on the cover as in the table of days, never the 80 % that were asked for; 79.4 % is 79 %."""
    for prob, said in ((0.7996, "79.9 %"), (0.7968, "79.6 %"), (0.794, "79 %")):
        odds = tuple(Odds(days=n, prob=p) for n, p in enumerate((0.5, prob, 0.9, 0.95), start=1))
        booking = replace(ponds.booking, odds=odds, suggested_days=3, confidence_prob=0.8, counted=None)
        book = next(one for one in told(replace(ponds, booking=booking), US) if one.name == "Book")
        assert f"2 days have {said}, 4 days 95 %" in book.why[1]


@pytest.mark.parametrize(("treated", "asked"), [(None, True), (False, False), (True, False)])
def test_seed_is_asked_about_until_somebody_says_whether_it_is_treated(
    ponds: Plan, *, treated: bool | None, asked: bool
) -> None:
    """Unsaid is not the same as untreated."""

    def said(job: Job) -> Job:
        mixes = tuple(
            replace(mix, components=tuple(replace(part, treated=treated) for part in mix.components))
            for mix in job.mixes
        )
        return replace(job, mixes=mixes)

    (lacks,) = _answer(_with_job(ponds, said), "seed").lacks or (fact("none"),)
    assert ("treated" in lacks.values.get("keys", ())) is asked
