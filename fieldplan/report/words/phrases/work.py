"""What is said of hours, tractors, bookings, costs and fees."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

PHRASES: dict[str, Phrase] = {}
