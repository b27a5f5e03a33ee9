"""Sentences about tables that somebody has changed."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

_HINT = "put the table back as it was installed"
PHRASES: dict[str, Phrase] = {
    "cell-empty": Phrase("is empty"),
    "cell-not-a-key": Phrase('"{cell}" is not a key of a source'),
    "cell-not-a-day": Phrase('"{cell}" is not a month and day such as 04-30'),
    "cell-not-a-day/date": Phrase('"{cell}" is not a date such as 2019-09-08'),
    "cell-not-a-number": Phrase('"{cell}" is not a number of 0 or more'),
    "cell-not-a-number/signed": Phrase('"{cell}" is not a number'),
    "cell-not-a-source": Phrase('"{cell}" is not in sources.csv'),
    "cell-not-a-species": Phrase('"{cell}" is not in species_names.csv'),
    "cell-not-a-unit": Phrase('"{cell}" is not a unit'),
    "cell-not-a-word": Phrase('"{cell}" is not one of the words it can be: {words}'),
    "cell-not-whole": Phrase('"{cell}" is not a whole number'),
    "cell-not-percent": Phrase("{cell} is not from 1 to 100"),
    "cell-over": Phrase("{cell} is over {other}, {value}"),
    "cells-not-those": Phrase("the row does not have a cell for each of {columns}"),
    "table-one-figure": Phrase(
        "{file}, row {row}: {low} and {high} differ, but it must be one figure", hint=_HINT
    ),
    "table-row": Phrase("{file}, row {row}: <{column}: >{why}", hint=_HINT),
    "table-row-missing": Phrase('{file} has no row with {column} "{cell}"', hint=_HINT),
    "table-word": Phrase("{file}: {what}: no column is called {words}", hint=_HINT),
    "table-unit": Phrase('{file}, row {row}: "{unit}" does not measure the same as {wanted}', hint=_HINT),
}
