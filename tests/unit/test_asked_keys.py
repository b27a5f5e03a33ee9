"""What is asked for and what people call keys: both name keys that a job file has."""

from __future__ import annotations

from fieldplan.jobfile.load import TABLES
from fieldplan.jobfile.schema import SCHEMA
from fieldplan.tables import read as tables


def test_what_is_asked_for_has_no_default() -> None:
    """A sentence about a key that cannot be missing would never be said."""
    for row in tables.rows("asked"):
        key = SCHEMA[row["table"]][row["key"]]
        assert not key.optional, row
        assert tables.default(row["table"], row["key"]) is None, row


def test_other_words_lead_to_keys_that_are_there() -> None:
    """Each says either which key is meant or a sentence."""
    for row in tables.rows("other_words"):
        assert bool(row["meant"]) != bool(row["says"]), row
        known = TABLES if row["table"] == "file" else SCHEMA.get(row["table"], ())
        assert row["table"] == "requests" or not row["meant"] or row["meant"] in known, row
