"""Phrases of the cover of a job: what to book, buy, bring, pay and ask. What is lacking follows "Give" with
the keys of the job file, and in short "Not known" without them.
"""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

_ODDS = "{done_prob} odds of being done< ({n_met} of {n_years} years, range {low_prob..high_prob})>"
PHRASES: dict[str, Phrase] = {
    "cover-book": Phrase(f"{{n_days}} {{n_days|day|days}}, {_ODDS}"),
    "cover-book/dates": Phrase(
        f"{{first_weekday}} to {{last_weekday}}, {{n_days}} {{n_days|day|days}}, {_ODDS}"
    ),
    "cover-book/none": Phrase("No booking within a year reaches {asked_prob} odds"),
    "cover-book/nothing": Phrase("No days: nothing is drilled"),
    "cover-work": Phrase(
        "{job_s} of work take {n_fit_days} fieldwork {n_fit_days|day|days} of {least_s..most_s}"
    ),
    "cover-around": Phrase(
        "{n_fewer} {n_fewer|day has|days have} {fewer_prob}, {n_more} {n_more|day|days} {more_prob}"
    ),
    "cover-around/just-below": Phrase(
        "{n_fewer} {n_fewer|day has|days have} {fewer_prob:1}, {n_more} {n_more|day|days} {more_prob}"
    ),
    "cover-finish-by": Phrase(
        "to be done by {finish_weekday} with {asked_prob} odds, start by {start_weekday}"
    ),
    "cover-seed": Phrase("{n_bags} {n_bags|bag|bags}"),
    "cover-seed/nothing": Phrase("None: nothing is drilled"),
    "cover-lot": Phrase("{species}< ({lot})> {n_bags} × {bag_kg}<, {treated}>"),
    "cover-carrier": Phrase("carrier {name} {carrier_kg}"),
    "cover-tractor/yes": Phrase("Yes, it fits the drill"),
    "cover-tractor/care": Phrase("Yes, with care"),
    "cover-tractor/no": Phrase("No"),
    "cover-tractor/not-known": Phrase("Not known yet"),
    "cover-check": Phrase("{check}: {why}"),
    "cover-fee": Phrase("{fee}< for {n_days} {n_days|day|days}>< and a refundable deposit of {deposit}>"),
    "cover-fee/not-known": Phrase("Not known: no rate card is given"),
    "cover-fee/no-days": Phrase("Not known: {card} bills by days, and there are none to book"),
    "cover-ask": Phrase("The district about its drill"),
    "cover-ask/free-on": Phrase("is it free then"),
    "cover-ask/free": Phrase("when is it free for {n_days} {n_days|day|days} on end"),
    "cover-ask/fee": Phrase("the fees"),
    "cover-ask/needs": Phrase("what {named*, } it needs"),
    "cover-ask/is": Phrase("its {named*, }"),
    "cover-ask/metering": Phrase("what its {boxes* and } box can meter"),
    "cover-ask/manual": Phrase("its manual"),
    "cover-need/pto_power": Phrase("PTO power"),
    "cover-need/remotes": Phrase("remotes"),
    "cover-need/min_pto_power": Phrase("PTO power"),
    "cover-need/min_remotes": Phrase("remotes"),
    "cover-need/hitch": Phrase("hitch"),
    "cover-need/weight": Phrase("weight"),
    "cover-need/transport_width": Phrase("road width"),
    "cover-of-tag/lot": Phrase("lot"),
    "cover-of-tag/tested": Phrase("test date"),
    "cover-of-tag/price": Phrase("price"),
    "cover-of-tag/treated": Phrase("treatment"),
    "cover-lacks/start": Phrase("the first day (start in [booking])", short="the first day"),
    "cover-lacks/lots": Phrase("{keys*, } in [[mix.component]]", short="the seed's {names*, }"),
    "cover-lacks/tractor": Phrase("{keys*, } in [tractor]", short="the tractor's {names*, }"),
    "cover-lacks/rate-card": Phrase("rate_card in [cost]", short="the fees"),
    "cover-lacks/drill": Phrase("the answers in [drill] (see fieldplan init)"),
}
