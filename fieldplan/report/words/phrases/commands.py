"""What is said of the command line."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

_DONE = '--done "R05=60 %"'
_LEFT = '--left "oats=400 lb"'
_BULK = 'such as --rate "25 lb/ac bulk"'
_ONE_BOX = "--box with one of: {known}"
_ONE_MIX = '--mix with one of: "{known*", "}"'
PHRASES: dict[str, Phrase] = {
    "another-folder": Phrase("another DIR"),
    "another-folder/or-force": Phrase("--force to replace it, or another DIR"),
    "box-not-said/caught": Phrase("It is not clear which box was caught from", hint=_ONE_BOX),
    "box-unknown/caught": Phrase('This mix puts nothing in a "{box}" box', hint=_ONE_BOX),
    "calibrate-drill": Phrase(
        "Without a job file, --spacing and --rows are needed",
        hint='--spacing "7.5 in" --rows 16',
        metric_hint='--spacing "19 cm" --rows 16',
    ),
    "calibrate-what": Phrase(
        "Give a job file or a rate, one of the two", hint='--job job.toml, or --rate "25 lb/ac bulk"'
    ),
    "card-missing": Phrase("names no rate card", hint='rate_card = "rates.toml" in [season]'),
    "caught-nothing": Phrase(
        "is nothing: the meter does not turn, or the tube is plugged",
        hint="look at meter and tube, then catch again",
    ),
    "date-unlikely": Phrase("{given} is out of range", hint="from {earliest} to {latest}"),
    "date-unreadable": Phrase('"{given}" is no date', hint="{about} 2027-04-27"),
    "distance-unlikely": Phrase(
        "is out of range", hint='from {least_m} to {most_m}, such as --distance "100 ft"'
    ),
    "done-twice": Phrase("says {request} twice", hint="say it once"),
    "done-unreadable": Phrase("{why}", hint=_DONE),
    "done-unreadable/no-share": Phrase('"{given}" is no share of a request', hint=_DONE),
    "done-which": Phrase('"{given}" names no field of the plan', hint="one of: {known}"),
    "fee-half": Phrase("FIELDS and --job go together", hint="give both, or acres and days by hand"),
    "file-unusable": Phrase("cannot be opened ({why})", hint="another name"),
    "idle/in-job": Phrase("the job file gives it"),
    "idle/without": Phrase("it needs {option}"),
    "idle/without-job": Phrase("it needs a job file"),
    "left-twice": Phrase('"{given}" names a lot that was named before', hint="what is left in all, once"),
    "left-unlikely": Phrase("is below nothing", hint=_LEFT),
    "left-unreadable": Phrase("{why}", hint=_LEFT),
    "left-which": Phrase('"{given}" names several lots of the plan', hint="one of: {known}"),
    "left-which/none": Phrase('"{given}" names no lot of the plan', hint="one of: {known}"),
    "mix-not-said": Phrase("has several mixes", hint=_ONE_MIX),
    "mix-unknown/option": Phrase('has no mix "{mix}"', hint=_ONE_MIX),
    "near-unreadable": Phrase('"{given}" is no place', hint="latitude first, such as --near 44.25,-95.75"),
    "nothing-drilled/to-compare": Phrase(
        "Nothing of this job is drilled: there is nothing to compare with",
        hint="fieldplan plan -q says why",
    ),
    "number-unlikely": Phrase("{given} is out of range", hint="from 0 to a million"),
    "option-idle": Phrase("changes nothing here: {why}", hint="leave {about} out"),
    "option-range": Phrase("is out of range", hint="from {least_m} to {most_m}"),
    "option-range/number": Phrase("is out of range", hint="above 0 and up to {n_most}"),
    "quiet-and-verbose": Phrase("-q and -v exclude each other", hint="leave one out"),
    "rate-not-bulk": Phrase(
        "is not a bulk rate, and only bulk seed can be caught", hint="put the lot in a job file"
    ),
    "rate-unreadable/not-bulk": Phrase(
        "{about}: only bulk seed can be caught; put the lot in a job file", hint=_BULK
    ),
    "rate-unreadable/option": Phrase("{why}", hint=_BULK),
    "record-what": Phrase("Say one kind of entry, or a list with --from", hint="kinds: {known}"),
    "request-unknown/asked": Phrase('No request is called "{given}"', hint="{known}"),
    "set-back-unreadable/option": Phrase(
        "{why}", hint='such as --set-back "30 ft"', metric_hint='such as --set-back "10 m"'
    ),
    "set-back-unreadable/option-range": Phrase('"{given}" is out of range', hint="from 0 to {most_m}"),
    "slip-unlikely": Phrase("is out of range", hint='from 0 % to {most_frac}, such as --slip "6 %"'),
    "slip-without-turns": Phrase(
        "only matters with --turns: a measured way has no slip", hint="leave it out"
    ),
    "stdout-unwritable": Phrase(
        "Standard output: not all could be printed ({why})", hint="make room, or print to another place"
    ),
    "stdout-unwritable/closed": Phrase(
        "Standard output is closed: nothing could be printed",
        hint="print to {nowhere}, if nothing is to be",
    ),
    "stdout-unwritable/entered": Phrase("Written to {ledger}: {rows}. {why}", hint="do not enter it again"),
    "tubes-not-said": Phrase(
        "needs --tubes, from 1 to {n_rows} rows", hint="--tubes with the rows that were caught"
    ),
    "turns-and-distance": Phrase("--turns and --distance exclude each other", hint="leave one out"),
    "value-empty": Phrase("is empty", hint="say it, or leave it out"),
    "value-long": Phrase("is {n_characters} characters long", hint="at most {n_most}"),
    "value-no-text": Phrase(
        "holds bytes that are no text, and no file has that name: {given}",
        hint="type it anew; in names of new files too, letters must be text",
    ),
    "value-null": Phrase("holds a character that no text has (NUL)", hint="type it anew"),
    "wheel-unknown": Phrase(
        "needs the way of one turn", hint='--wheel "8 ft", or wheel_circumference of the drill'
    ),
    "when-twice": Phrase("says {given} twice", hint="say it once"),
    "when-unreadable": Phrase('"{given}" is no fact', hint="--when area=outside"),
    "write-nowhere": Phrase("needs --out, the folder to write into", hint="--out plans"),
}
