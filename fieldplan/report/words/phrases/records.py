"""What is said of the ledger and what is made of it."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

_ANOTHER = "--ledger with another file"
_RETURN = (
    "enter its return first, or both at once with --from; a new meter: bring it in and out on the same day"
)
_GOING = "enter the day it went out first, or both at once with --from"

_LEDGER: dict[str, Phrase] = {
    "ledger-remote/written": Phrase("a ledger is a file on this machine", hint="--ledger with a file"),
    "ledger-foreign": Phrase("is no ledger of records", hint=_ANOTHER),
    "ledger-of-another": Phrase('is the ledger of "{there}", not of "{season}"', hint=_ANOTHER),
    "ledger-busy": Phrase("another program is writing to it", hint="try again in a moment"),
    "ledger-damaged": Phrase("is no ledger, or a damaged one ({reason})", hint="your last copy of it"),
    "ledger-rewritten": Phrase(
        "is not as it was written: another program has changed the file",
        hint="your last copy of it; nothing but fieldplan season record may write to it",
    ),
    "ledger-unusable": Phrase(
        "cannot be used ({reason})", hint="--ledger with a file on a disk of this machine"
    ),
    "ledger-unusable/new": Phrase(
        "cannot be begun ({reason})", hint="--ledger with a file on a disk of this machine"
    ),
    "disk-full/ledger": Phrase(
        "nothing was written, for the disk is full or takes no more ({reason})", hint="make room"
    ),
}

_ENTRIES: dict[str, Phrase] = {
    "fact-unreadable": Phrase('"{word}" is no fact', hint="name=value, such as day=2027-04-24"),
    "fact-twice": Phrase("{fact} is said twice", hint="say it once"),
    "entry-row": Phrase(
        "has {n_cells} {n_cells|cell|cells} more than there are columns",
        hint="quote cells that hold the separator",
    ),
    "corrects-unreadable": Phrase('corrects "{given}" is no row of the ledger', hint="corrects=12"),
    "kind-unknown": Phrase(
        'there is no kind of entry "{kind}"', hint='<did you mean "{near}"?><one of: {kinds}>'
    ),
    "fact-unknown/entry": Phrase(
        'has no fact "{fact}"', hint='<did you mean "{near}"? >known here: {known}'
    ),
    "fact-missing": Phrase("does not say {fact}", hint="{example}"),
    "fact-missing/row": Phrase("does not say which row", hint="corrects=12"),
    "entry-example": Phrase("{example}"),
    "text-long/entry": Phrase("is {n_characters} characters long, over {n_most}"),
    "not-a-date/entry": Phrase(
        'is "{given}", no date as YYYY-MM-DD: in a spreadsheet give the column that format'
    ),
    "out-of-range/meter": Phrase('is "{given}", not from nothing to {most_m2:0}'),
    "out-of-range/share": Phrase('is "{given}", not from 0 to 100 %'),
    "out-of-range/nothing": Phrase('is "{given}": not more than nothing'),
    "out-of-range/too-much": Phrase('is "{given}": too much'),
    "out-of-range/below-nothing": Phrase('is "{given}", less than nothing'),
    "not-money/entry": Phrase(
        'is "{given}", no sum of money: digits with a point, a minus before if it was paid back'
    ),
    "not-facts": Phrase('is "{given}", not name=value'),
    "not-yes-or-no": Phrase('is "{given}", neither yes nor no'),
}

_CONFLICTS: dict[str, Phrase] = {
    "ledger-row": Phrase("row {row}"),
    "row-untrue": Phrase("row {row} of the ledger could not be true then"),
    "corrects-nothing": Phrase(
        "corrects row {row}, which is not there or holds no more",
        hint="the number of a row that holds: fieldplan season ledger shows them",
    ),
    "corrects-another": Phrase(
        'is "{kind}" and corrects row {row}, which is "{other}"',
        hint='strike corrects={row}, then enter it as "{kind}"',
    ),
    "request-unknown/entry": Phrase(
        'no request is called "{request}"', hint="its id in the list of requests"
    ),
    "drill-unknown": Phrase('no drill is called "{drill}"', hint="one of: {drills}"),
    "field-unknown": Phrase('{request} has no field "{field}"', hint="one of: {fields}"),
    "day-outside": Phrase(
        "{on_typed_day} lies outside the season",
        hint="{opens_typed_day} to {closes_typed_day}, a month around it for a drill to go out and come back, years after it for payments",
    ),
    "rain-no-work": Phrase(
        "{drill} does not work on {on_typed_day}, so that day cannot be lost to weather",
        hint="a working day of the season",
    ),
    "first-no-work": Phrase(
        "{drill} does not work on {first_typed_day}",
        hint="the first day booked: a working day of the season",
    ),
    "bill-unknown": Phrase("the rate card does not ask for {fact}", hint="<it asks for: {facts}>"),
    "bill-unknown/value": Phrase('the rate card knows no {fact} "{given}"', hint="one of: {known}"),
    "other-currency": Phrase(
        "{fact} is in {given}, the rate card in {currency}", hint="a sum in {currency}"
    ),
    "entry-twice": Phrase(
        "says the same as {row}", hint='if it happened twice, add a note, such as note="second time"'
    ),
    "tag-over": Phrase(
        "germination and dormant add up to more than 100 %",
        hint="both as the tag shows them, each of the pure seed",
    ),
    "tested-after": Phrase(
        "lot {lot} was tested on {tested_typed_day}, after it was sown",
        hint="both days as the papers show them",
    ),
    "lot-differs": Phrase(
        "lot {lot} has {fact} {here} here and {there} elsewhere ({row})",
        hint="a lot has one tag: put right the one that was misread",
    ),
    "refused-and-served": Phrase(
        "{request} went out on {out_typed_day} and was turned away on {refused_typed_day} ({row})",
        hint="strike the one that does not hold",
    ),
    "deposit-below": Phrase(
        "more of {request}'s deposit would be given back than was taken",
        hint='a payment back of rent is an entry "paid"',
    ),
}

_METERS: dict[str, Phrase] = {
    "drill-out": Phrase("{drill} is out with {request} since {since_typed_day} ({row})", hint=_RETURN),
    "in-without-out": Phrase("no drill is out with {request} on {on_typed_day}", hint=_GOING),
    "in-without-out/drill": Phrase("{drill} is not out with {request} on {on_typed_day}", hint=_GOING),
    "in-without-out/elsewhere": Phrase(
        "{drill} is not out with {request} on {on_typed_day}: it is with {holder} ({row})", hint=_GOING
    ),
    "in-which": Phrase("{request} has {drills* and }", hint='say which came back: drill="{first}"'),
    "meter-backwards": Phrase(
        "the meter of {drill} would run backwards, from {before_m2} on {before_typed_day} ({row}) to {now_m2}",
        hint='a misread figure is put right with corrects=…; a new meter is an entry "meter"',
    ),
    "sown-without-drill": Phrase("no drill was with {request} on {on_typed_day}", hint=_GOING),
    "sown-over-meter": Phrase(
        "the fields of {request} add up to {sown_m2}, and the meter counted {metered_m2} ({row_out} and {row_back})",
        hint="read both again",
    ),
    "rain-and-sown": Phrase(
        "{drill} sowed on {on_typed_day} and lost the day to weather ({row})",
        hint="a day is lost only if nothing was sown on it",
    ),
}

_WARNINGS: dict[str, Phrase] = {
    "entries-to-come": Phrase(
        "{n_entries} of these entries lie after today, {today_typed_day}, such as row {row} on {first_typed_day}."
    ),
    "meter-over-map": Phrase(
        "the meter counted {metered_m2}, and {request} has {mapped_m2} on the map (row {row})."
    ),
    "sown-over-map": Phrase("{sown_m2} were sown, and {field} has {mapped_m2} on the map (row {row})."),
    "seed-heavy": Phrase("{weight} of {species} went into {mapped_m2} (row {row})."),
}

_PAPERS: dict[str, Phrase] = {
    "bill-no-loan": Phrase(
        "No drill went out to {renter} ({request}) by {by_typed_day}",
        hint="fieldplan season record … out, or a later --day",
    ),
    "bill-still-out": Phrase(
        "{drills* and } is still out with {renter} ({request}) on {on_typed_day}",
        hint="fieldplan season record … in",
    ),
    "record-bill-fact": Phrase(
        "miles=… where it went out, hours=… where it came back, bill=… there, or a column of the list of requests"
    ),
    "board-column": Phrase('The list of requests has no column "{column}"', hint="columns: {columns}"),
    "return-missing": Phrase("the drill's return"),
    "lots-lack": Phrase("{line} (lot {lots})"),
    "test-old/packet": Phrase(
        "lot {lot} was tested on {tested_typed_day}, more than {n_months} months before it was sown (source: {sources})"
    ),
    "test-late": Phrase("lot {lot} was tested on {tested_typed_day}, after it was sown"),
    "seed-not-sown": Phrase("lot {lot} went into field {field}, which is not down as sown"),
    "sown-outside/packet": Phrase(
        "field {field} was sown on {sown_typed_day}, outside {ready_typed_day} to {until_typed_day}, the days of the request"
    ),
}

PHRASES: dict[str, Phrase] = {**_LEDGER, **_ENTRIES, **_CONFLICTS, **_METERS, **_WARNINGS, **_PAPERS}
