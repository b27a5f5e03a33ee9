"""What is said of what is written."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

PHRASES: dict[str, Phrase] = {
    "booking-no-start": Phrase(
        "A calendar needs the day the booking starts.", hint="start = 2027-05-10 in [booking]"
    ),
    "booking-none/calendar": Phrase(
        "A calendar needs days to book, and there are none.",
        hint="fieldplan plan -q says why and what would help",
    ),
    "output-left-out/extra": Phrase(
        "--write {name} is left out: it needs the '{extra}' extra, which is not installed."
    ),
    "extra-for/output": Phrase("--write {name}"),
    "output-left-out/calendar": Phrase("booking.ics is left out: {why}"),
    "write-unknown": Phrase("--write does not know {names}.", hint="all, or one or more of: {known}"),
}
