"""Sentences about the command line."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

_DONE = '--done "R05=60 %"'
_LEFT = '--left "oats=400 lb"'
_BULK = 'such as --rate "25 lb/ac bulk"'
_ONE_BOX = "--box with one of: {known}"
_ONE_MIX = '--mix with one of: "{known*", "}"'
PHRASES: dict[str, Phrase] = {
    "another-folder": Phrase("another folder for DIR"),
    "another-folder/or-force": Phrase("--force to replace it, or another folder for DIR"),
    "box-not-said/caught": Phrase(
        "The mix uses several boxes, and the box that you caught from is not given", hint=_ONE_BOX
    ),
    "box-unknown/caught": Phrase('This mix puts no seed in a box "{box}"', hint=_ONE_BOX),
    "calibrate-drill": Phrase(
        "Without a job file, give --spacing and --rows",
        hint='--spacing "7.5 in" --rows 16',
        metric_hint='--spacing "19 cm" --rows 16',
    ),
    "calibrate-what": Phrase(
        "Give a job file or a rate, one of the two", hint='--job job.toml, or --rate "25 lb/ac bulk"'
    ),
    "card-missing": Phrase("names no rate card", hint='rate_card = "rates.toml" in [season]'),
    "caught-nothing": Phrase(
        "is zero: the meter does not turn, or the tube is plugged",
        hint="check the meter and the tube, then catch again",
    ),
    "date-unlikely": Phrase("{given} is out of range", hint="from {earliest} to {latest}"),
    "date-unreadable": Phrase('"{given}" is not a date', hint="{about} 2027-04-27"),
    "distance-unlikely": Phrase(
        "is out of range", hint='from {least_m} to {most_m}, such as --distance "100 ft"'
    ),
    "offered-in-part": Phrase(
        "A drill to buy needs its price and its life", hint="both, such as --price 28000 --life 12"
    ),
    "offered-life": Phrase("{name} is {given}", hint="years, over 0 and up to 100"),
    "years-none": Phrase("No season is given", hint="the file or the folder of at least one"),
    "years-twice": Phrase('The season "{season}" is given twice', hint="name each season once"),
    "years-currencies": Phrase(
        "The rate cards of these seasons are in {currencies* and }",
        hint="report those of one currency together",
    ),
    "done-twice": Phrase("names {request} twice", hint="give it once"),
    "done-unreadable": Phrase("{why}", hint=_DONE),
    "done-unreadable/no-share": Phrase(
        '"{given}" is not a request with a share from 0 to 100 %', hint=_DONE
    ),
    "done-which": Phrase('"{given}" is not a field of the plan', hint="one of: {known}"),
    "fee-half": Phrase("FIELDS and --job go together", hint="give both, or give acres and days instead"),
    "file-unusable": Phrase("cannot be opened ({why})", hint="use another file name"),
    "idle/in-job": Phrase("the job file has it"),
    "idle/without": Phrase("it needs {option}"),
    "idle/without-job": Phrase("it needs a job file"),
    "left-twice": Phrase(
        '"{given}" names a lot that is given already', hint="give all that is left of it once"
    ),
    "left-unlikely": Phrase("is below zero", hint=_LEFT),
    "left-unreadable": Phrase("{why}", hint=_LEFT),
    "left-which": Phrase('"{given}" names several lots of the plan', hint="one of: {known}"),
    "left-which/none": Phrase('"{given}" is not a lot of the plan', hint="one of: {known}"),
    "mix-not-said": Phrase("has several mixes", hint=_ONE_MIX),
    "mix-unknown/option": Phrase('has no mix "{mix}"', hint=_ONE_MIX),
    "near-unreadable": Phrase(
        '"{given}" is not a place',
        hint='latitude first, such as --near 44.25,-95.75, or with letters, such as --near "44.25 N 95.75 W"',
    ),
    "nothing-drilled/to-compare": Phrase(
        "No field of this job can be drilled, so there is nothing to compare with",
        hint="fieldplan plan -q shows why",
    ),
    "number-unlikely": Phrase("{given} is out of range", hint="a number from 0 to 1,000,000"),
    "option-idle": Phrase("changes nothing here: {why}", hint="leave {about} out"),
    "option-range": Phrase("is out of range", hint="from {least_m} to {most_m}"),
    "option-range/number": Phrase("is out of range", hint="above 0 and up to {n_most}"),
    "quiet-and-verbose": Phrase("-q and -v do not go together", hint="leave one out"),
    "rate-not-bulk": Phrase(
        "is not a bulk rate, and a catch is bulk seed", hint="put the seed lot in a job file"
    ),
    "rate-unreadable/not-bulk": Phrase(
        "{about}: a catch is bulk seed; for a rate in PLS put the seed lot in a job file", hint=_BULK
    ),
    "rate-unreadable/option": Phrase("{why}", hint=_BULK),
    "record-what": Phrase("Give one kind of entry, or a list with --from", hint="kinds: {known}"),
    "request-unknown/asked": Phrase('There is no request "{given}"', hint="one of: {known}"),
    "set-back-unreadable/option": Phrase(
        "{why}", hint='such as --set-back "30 ft"', metric_hint='such as --set-back "10 m"'
    ),
    "set-back-unreadable/option-range": Phrase('"{given}" is out of range', hint="from 0 to {most_m}"),
    "slip-unlikely": Phrase("is out of range", hint='from 0 % to {most_frac}, such as --slip "6 %"'),
    "slip-without-turns": Phrase(
        "only matters with --turns: a measured distance has no slip", hint="leave it out"
    ),
    "stdout-unwritable": Phrase(
        "Not all of the output could be printed ({why})", hint="make room, or print to another place"
    ),
    "stdout-unwritable/closed": Phrase(
        "Standard output is closed: nothing could be printed",
        hint="print to {nowhere} if you want no output",
    ),
    "stdout-unwritable/entered": Phrase("Written to {ledger}: {rows}. {why}", hint="do not enter it again"),
    "tubes-not-said": Phrase(
        "needs --tubes, from 1 to {n_rows} rows", hint="--tubes with the number of rows you caught from"
    ),
    "turns-and-distance": Phrase("--turns and --distance do not go together", hint="leave one out"),
    "value-empty": Phrase("is empty", hint="give a value, or leave it out"),
    "value-long": Phrase("is {n_characters} characters long", hint="at most {n_most}"),
    "value-no-text": Phrase(
        "has bytes that are not text, and no file has that name: {given}",
        hint="type it again; the name of a new file must be text too",
    ),
    "value-null": Phrase("has a character that no text has (NUL)", hint="type it again"),
    "wheel-unknown": Phrase(
        "needs the distance in one turn", hint='--wheel "8 ft", or wheel_circumference in [drill]'
    ),
    "when-twice": Phrase("names {given} twice", hint="give it once"),
    "when-unreadable": Phrase(
        '"{given}" is not a fact', hint="write name=value, such as --when area=outside"
    ),
    "write-nowhere": Phrase("needs --out, the folder to write into", hint="--out plans"),
}
