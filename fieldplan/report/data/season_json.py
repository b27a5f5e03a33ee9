"""A season as JSON."""

from __future__ import annotations

from fieldplan.model.season import Season
from fieldplan.report.data.json_text import json_text
from fieldplan.report.output import Output, SeasonAsked, ready
from fieldplan.report.words.notes import notes_as_data
from fieldplan.report.words.proven import proven_lines
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence
from fieldplan.report.words.sharing import collected_from


def season_object(season: Season) -> dict[str, object]:
    """The season as nested dicts, in SI. Of the list of requests it has only ids and names."""
    terms, proof, us = season.program.terms, season.proof, Quantities("us")
    return {
        "schema": "fieldplan/season/1",
        "season": {
            "name": terms.name,
            "opens": terms.opens.isoformat(),
            "closes": terms.closes.isoformat(),
            "confidence_frac": terms.confidence_prob,
            "serve_first": [rule.text for rule in terms.rules],
        },
        "bookings": [
            {
                "drill": placement.drill,
                "request": placement.request.request_id,
                "renter": placement.request.renter,
                "days": [day.isoformat() for day in placement.days],
                "ground_m2": placement.duration.ground_m2,
                "job_s": placement.duration.job_s,
                "waiting_days": placement.waiting_days,
                "tow_m": placement.tow_m,
                "collect_from": collected_from(placement),
                "reason": sentence(placement.reason, us),
                "shares_with": list(placement.shares_with),
                "confirmed": placement.confirmed,
                "farthest_m": placement.farthest_m,
                "odds_prob": placement.odds_prob,
            }
            for placement in season.placements
        ],
        "refused": [
            {
                "request": refusal.request.request_id,
                "renter": refusal.request.renter,
                "reason": sentence(refusal.reason, us),
                "changes": [sentence(change, us) for change in refusal.changes],
            }
            for refusal in season.refusals
        ],
        "proof": {
            "served_proven": proof.served_proven,
            "waiting_days": proof.waiting_days,
            "waiting_bound_days": proof.waiting_bound_days,
            "tow_m": proof.tow_m,
            "tow_bound_m": proof.tow_bound_m,
            "in_words": list(proven_lines(proof, us)),
        },
        "notes": notes_as_data(season.notes),
    }


OUTPUT: Output[SeasonAsked] = Output(
    name="json",
    words="the season, SI",
    always=("season.json",),
    make=lambda asked: {"season.json": ready(json_text(season_object(asked.season)).encode())},
)
