"""Phrases about the ledger and the papers made from it."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

_ANOTHER = "--ledger with another file"
_RETURN = "enter its return first, or both at once with --from; for a new meter, bring it in and out on the same day"
_GOING = "enter the day it went out first, or both at once with --from"

_LEDGER: dict[str, Phrase] = {
    "ledger-remote/written": Phrase(
        "a ledger must be a file on this computer", hint="--ledger with a file"
    ),
    "ledger-foreign": Phrase("is not a ledger", hint=_ANOTHER),
    "ledger-of-another": Phrase('is the ledger of "{there}", not of "{season}"', hint=_ANOTHER),
    "ledger-busy": Phrase("another program is writing to it", hint="try again in a moment"),
    "ledger-damaged": Phrase(
        "is not a ledger, or a damaged one ({reason})", hint="use your last copy of it"
    ),
    "ledger-rewritten": Phrase(
        "is not as it was written: another program has changed the file",
        hint="use your last copy of it; only fieldplan season record may write to it",
    ),
    "seal-unreadable": Phrase(
        '"{given}" is not a seal', hint="type it as it is printed, such as 14-K3QX-7NBA-W2LD-PE5Q-3JTM"
    ),
    "seal-mistyped": Phrase(
        '"{given}" has a slip: no paper carries this seal',
        hint="compare it with the paper, letter by letter",
    ),
    "seal-shorter": Phrase(
        "the chain is shorter than when the seal was printed: {n_now} {n_now|entry|entries} now, {n_then} then; "
        "entries were cut off at its end, or this is an older copy",
        hint="look for a later copy of the ledger, and compare",
    ),
    "seal-other-chain": Phrase(
        "is another chain: the first {n_then} {n_then|entry is not the one|entries are not those} that the seal was printed for",
        hint="look for the copy that the paper was made from; an entry of this one was changed and the chain made anew, or it is of "
        "another season",
    ),
    "ledger-unusable": Phrase(
        "cannot be used ({reason})", hint="--ledger with a file on a disk of this computer"
    ),
    "ledger-unusable/new": Phrase(
        "cannot be begun ({reason})", hint="--ledger with a file on a disk of this computer"
    ),
    "disk-full/ledger": Phrase(
        "nothing was written: the disk is full or takes no more ({reason})", hint="make room"
    ),
}

_LETTERS: dict[str, Phrase] = {
    "templates-no-folder": Phrase(
        "is not a folder of templates", hint="fieldplan season templates DIR writes one to begin with"
    ),
    "template-kind": Phrase(
        "is named for no kind of letter", hint='<did you mean "{near}"?><one of: {known}>'
    ),
    "template-empty": Phrase("has no text", hint="a heading, and lines below it; or delete the file"),
    "template-title": Phrase(
        "has a table in its heading", hint="put the table alone on a line further down"
    ),
    "template-brace": Phrase(
        "has a brace without its partner",
        hint="a field has a brace on each side; two braces in a row print one",
    ),
    "template-field": Phrase(
        'names "{field}", which this letter does not have', hint='<did you mean "{near}"?><one of: {known}>'
    ),
    "template-table": Phrase(
        'has the table "{field}" beside other text', hint="put it alone on a line of its own"
    ),
    "letter-no-card": Phrase("the season's file names no rate card"),
    "letter-no-due": Phrase("the rate card says nothing of when to pay"),
    "letter-days-gone": Phrase(
        "the letter of {told_day} told of days that it does not have any more: phone"
    ),
    "letter-not-confirmed": Phrase(
        "its days are others than in the letter of {told_day}, and not confirmed yet"
    ),
    "letter-offer-open": Phrase("the offer of {on_typed_day} has no answer yet: enter it first"),
    "letter-offer-waits": Phrase(
        "its offer of {drill} from {first_typed_day} on waits for the answer to another"
    ),
    "letter-drill-out": Phrase("a drill is still out"),
}

_ENTRIES: dict[str, Phrase] = {
    "fact-unreadable": Phrase('"{word}" is not a fact', hint="name=value, such as day=2027-04-24"),
    "fact-twice": Phrase("{fact} is given twice", hint="give it once"),
    "entry-row": Phrase(
        "has {n_cells} {n_cells|cell|cells} more than there are columns",
        hint="quote cells that hold the separator",
    ),
    "corrects-unreadable": Phrase('corrects "{given}" is not a row of the ledger', hint="corrects=12"),
    "kind-unknown": Phrase(
        'there is no kind of entry "{kind}"', hint='<did you mean "{near}"?><one of: {kinds}>'
    ),
    "fact-unknown/entry": Phrase(
        'has no fact "{fact}"', hint='<did you mean "{near}"? >known here: {known}'
    ),
    "fact-missing": Phrase("has no {fact}", hint="{example}"),
    "fact-missing/row": Phrase("does not name a row", hint="corrects=12"),
    "entry-example": Phrase("{example}"),
    "text-long/entry": Phrase("is {n_characters} characters long, over {n_most}"),
    "not-a-date/entry": Phrase(
        'is "{given}", not a date in the form YYYY-MM-DD: in a spreadsheet, set that format for the column'
    ),
    "out-of-range/meter": Phrase('is "{given}", not from 0 to {most_m2:0}'),
    "out-of-range/share": Phrase('is "{given}", not from 0 to 100 %'),
    "out-of-range/nothing": Phrase('is "{given}": must be more than 0'),
    "out-of-range/too-much": Phrase('is "{given}": too much'),
    "out-of-range/below-nothing": Phrase('is "{given}", less than 0'),
    "not-money/entry": Phrase(
        'is "{given}", not a sum of money: write digits with a decimal point, and a minus sign in front if it was paid back'
    ),
    "not-facts": Phrase('is "{given}", not name=value'),
    "not-yes-or-no": Phrase('is "{given}", neither yes nor no'),
}

_CONFLICTS: dict[str, Phrase] = {
    "ledger-row": Phrase("row {row}"),
    "row-untrue": Phrase("row {row} of the ledger could then not be true"),
    "corrects-nothing": Phrase(
        "corrects row {row}, which does not exist or is no longer current",
        hint="the number of a current row: fieldplan season ledger shows them",
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
        "{on_typed_day} is outside the season",
        hint="{opens_typed_day} to {closes_typed_day}; a drill may go out and come back within a month of it, payments may come years later",
    ),
    "rain-no-work": Phrase(
        "{drill} does not work on {on_typed_day}, so it cannot lose that day to weather",
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
        "repeats {row}", hint='if it happened twice, add a note, such as note="second time"'
    ),
    "tag-over": Phrase(
        "germination and dormant add up to more than 100 %",
        hint="enter both as the tag shows them, each as a share of the pure seed",
    ),
    "tested-after": Phrase(
        "lot {lot} was tested on {tested_typed_day}, after it was sown",
        hint="enter both days as the papers show them",
    ),
    "lot-differs": Phrase(
        "lot {lot} has {fact} {here} here and {there} elsewhere ({row})",
        hint="a lot has one tag: correct the entry that was misread",
    ),
    "refused-and-served": Phrase(
        "{request} went out on {out_typed_day} and was turned away on {refused_typed_day} ({row})",
        hint="strike the wrong one",
    ),
    "deposit-below": Phrase(
        "more of {request}'s deposit would be returned than was taken",
        hint='rent that is paid back is an entry "paid"',
    ),
}

_METERS: dict[str, Phrase] = {
    "drill-out": Phrase(
        "{drill} has been out with {request} since {since_typed_day} ({row})", hint=_RETURN
    ),
    "in-without-out": Phrase("no drill is out with {request} on {on_typed_day}", hint=_GOING),
    "in-without-out/drill": Phrase("{drill} is not out with {request} on {on_typed_day}", hint=_GOING),
    "in-without-out/elsewhere": Phrase(
        "{drill} is not out with {request} on {on_typed_day}: it is with {holder} ({row})", hint=_GOING
    ),
    "in-which": Phrase(
        "{request} has more than one drill: {drills* and }", hint='say which came back: drill="{first}"'
    ),
    "meter-backwards": Phrase(
        "the meter of {drill} would run backwards, from {before_m2} on {before_typed_day} ({row}) to {now_m2}",
        hint="correct a misread figure with corrects=…; if it turned over, add turns_at=…; if a new one was fitted, add old_meter=…",
    ),
    "meter-turned-and-new": Phrase(
        "the meter of {drill} cannot have turned over and been replaced in one entry",
        hint='enter the new meter as "meter" with old_meter=…, then the rest',
    ),
    "meter-turns-below": Phrase(
        "the meter of {drill} cannot turn over at {turns_at_m2}: it showed {read_m2}",
        hint="turns_at is the figure at which it begins again at 0",
    ),
    "meter-new-backwards": Phrase(
        "the new meter of {drill} would run backwards, from {new_m2} to {now_m2}",
        hint="new_meter is what it showed when it was fitted",
    ),
    "sown-without-drill": Phrase("no drill was with {request} on {on_typed_day}", hint=_GOING),
    "sown-over-meter": Phrase(
        "the fields of {request} add up to {sown_m2}, but the meter counted {metered_m2} ({row_out} and {row_back})",
        hint="check both readings",
    ),
    "rain-and-sown": Phrase(
        "{drill} sowed on {on_typed_day} but lost that day to weather ({row})",
        hint="a day is lost only if nothing was sown on it",
    ),
}

_WARNINGS: dict[str, Phrase] = {
    "entries-to-come": Phrase(
        "{n_entries} of these entries {n_entries|is|are} dated after today, {today_typed_day}, such as row {row} on {first_typed_day}."
    ),
    "meter-over-map": Phrase(
        "the meter counted {metered_m2}, but {request} has {mapped_m2} on the map (row {row})."
    ),
    "sown-over-map": Phrase("{sown_m2} were sown, but {field} has {mapped_m2} on the map (row {row})."),
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
        "record miles=… with out, hours=… with in, bill=… with either, or add a column to the list of requests"
    ),
    "board-column": Phrase('The list of requests has no column "{column}"', hint="columns: {columns}"),
    "return-missing": Phrase("the drill's return"),
    "lots-lack": Phrase("{line} (lot {lots})"),
    "test-old/packet": Phrase(
        "lot {lot} was tested on {tested_day}, more than {n_months} months before it was sown (source: {sources})"
    ),
    "test-late": Phrase("lot {lot} was tested on {tested_day}, after it was sown"),
    "seed-treated/packet": Phrase(
        "TREATED SEED: {species}, lot {lot}<, in the {box} box>: never food, feed or oil ({sources}); clean the box out before other seed; what to do with "
        "what is left is on the label and in local rules"
    ),
    "seed-not-sown": Phrase("lot {lot} went into field {field}, which is not recorded as sown"),
    "practice-differs": Phrase(
        "field {field} was sown as {sown}; the request says {asked}: the record is printed"
    ),
    "sown-outside/packet": Phrase(
        "field {field} was sown on {sown_day}, outside the days of the request, {ready_day} to {until_day}"
    ),
}

_BILLS: dict[str, Phrase] = {
    "late-on-first-bill": Phrase(
        "{request} has had no invoice yet, and this one charges {late} for paying late: the rate card counts from the return, "
        "{back_typed_day}, {n_days} days ago. Without that charge it is written as of {by_typed_day} or before: --day {by_typed_day}"
    ),
}

PHRASES: dict[str, Phrase] = {
    **_BILLS,
    **_LEDGER,
    **_LETTERS,
    **_ENTRIES,
    **_CONFLICTS,
    **_METERS,
    **_WARNINGS,
    **_PAPERS,
}
