"""Sentences beside the boxes of the planning page's form."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

PHRASES: dict[str, Phrase] = {
    "box-default": Phrase("{value} ({why})<: {place}>"),
    "box-unlikely": Phrase("{given} is unlikely< ({makes})>: {likely} is likely.< As it stands, {means}.>"),
    "box-impossible": Phrase(
        "{given} can hardly be right< ({makes})>: {likely} is likely.< As it stands, {means}.>"
    ),
    "box-mix-unknown": Phrase('There is no mix "{mix}" in this job.'),
    "box-such-as": Phrase("such as {example}"),
    "width-of-rows": Phrase("The drill is {width_m} wide."),
}
