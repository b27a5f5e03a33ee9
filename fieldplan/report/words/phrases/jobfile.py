"""Sentences about job files, rate cards and lists."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

_DID_YOU_MEAN = '<did you mean "{near}"? >'
_SAVE = "save the {what} as plain text in UTF-8"
_TOML_HAS = "TOML has lines such as rows = 16 under a table such as [drill]"
_SHAPE = 'each line is key = value, a table such as [drill], or a comment after #; quantities go in quotes, such as field_speed = "4.5 mph"'
_LEAVE_OUT = "put # before the line to leave the key out"
_KNOWN_WHERE = '<{says}><write it under {headings* or }><did you mean "{near}"?><known here: {known*, }>'
_SLIPS = "<Did you mean {slips* or }? >If it is right, say so {line}"
_BOXES = '<boxes of the drill: "{boxes*", "}">'

_VALUES: dict[str, Phrase] = {
    "carrier-unreadable": Phrase(
        "is {given}, not a carrier",
        hint='"rice hulls" (up to what the box can meter), "rice hulls to 2 bu/ac" or "oat hulls at 12 lb/bu to 2 bu/ac"',
    ),
    "carrier-unreadable/quantity": Phrase(
        "{why}",
        hint='"rice hulls" (up to what the box can meter), "rice hulls to 2 bu/ac" or "oat hulls at 12 lb/bu to 2 bu/ac"',
    ),
    "not-a-chance": Phrase(
        "is {given}, not a percentage",
        hint=_DID_YOU_MEAN + '<{key} = >"{chance}", or where days are published: "{places*", "}"',
    ),
    "not-a-choice": Phrase(
        "is {given}, not one of the words it can be",
        hint='<did you mean {key} = "{near}"? >one of: "{choices*", "}"',
    ),
    "not-a-date": Phrase(
        "is {given}, not a date from {first_year} to {last_year}",
        hint="write year-month-day, such as 2027-05-10",
    ),
    "not-a-date/meant": Phrase(
        "is {given}, not a date from {first_year} to {last_year}", hint="write year-month-day: {right}"
    ),
    "not-a-date/month": Phrase("is {given}, not one day", hint="write year-month-day, such as {first}"),
    "not-a-date/no-such-day": Phrase("is {given}, a day that does not exist", hint="such as 2027-05-10"),
    "not-a-hitch": Phrase(
        "is {given}, not a hitch", hint='<did you mean "{near}"? It is >one of: "{forms*", "}"'
    ),
    "not-a-number": Phrase("is {given}, not a number", hint="a number alone, such as {example}"),
    "not-a-number/meant": Phrase("is {given}, not a number", hint="a number alone: {right}"),
    "not-a-pair": Phrase(
        "is {given}, not two quantities in a list", hint='such as ["0.2 bu/ac", "4 bu/ac"]'
    ),
    "not-a-place": Phrase(
        "is {given}, not a place", hint="write the place with lat and lon by name, such as {example}"
    ),
    "not-a-place/axis": Phrase("has the {axis} {given}, not a number", hint="such as {example}"),
    "not-a-place/nowhere": Phrase(
        "has lat {lat}, lon {lon}, which is nowhere on Earth", hint="such as {example}"
    ),
    "not-days": Phrase("is {given}, not a list of days", hint="such as {example}"),
    "not-days/form": Phrase("has {given}, a date in another form", hint="year-month-day: {meant}"),
    "not-days/no-day": Phrase("has {given}, not a day", hint="such as {example}"),
    "not-days/one": Phrase("is {given}, not a list of days", hint="write {right}"),
    "not-days/slip": Phrase("has {given}, not a day", hint='did you mean "{near}"?'),
    "not-text": Phrase("is {given}, not text", hint="write one text in quotes"),
    "not-text/empty": Phrase(
        "has nothing between its quotes", hint="fill it in, or put # before the line to leave it out"
    ),
    "not-text/number": Phrase("is {given}, not text", hint="write it in quotes: {right}"),
    "not-texts": Phrase("is {given}, not a list of texts", hint="such as {example}"),
    "not-texts/meant": Phrase("is not a list of keys", hint='such as {key} = ["{example}"]'),
    "not-true-or-false": Phrase(
        "is {given}, not true or false", hint="write true or false, without quotes"
    ),
    "not-true-or-false/meant": Phrase(
        "is {given}, not true or false", hint="write {right}, without quotes"
    ),
    "not-whole": Phrase("is {given}, not a whole number", hint="a number alone, such as {example}"),
    "not-whole/meant": Phrase("is {given}, not a whole number", hint="a number alone: {right}"),
    "not-words": Phrase("is {given}, not a table of words", hint="such as {example}"),
    "pair-order": Phrase("does not run from low to high"),
    "price-unreadable": Phrase("is {given}, not a price", hint="such as {example* or }"),
    "price-unreadable/meant": Phrase("is {given}, not a price", hint="{right* or }"),
    "rate-basis-missing": Phrase(
        '"{given}" does not say whether it is pure live seed or bulk', hint="{right* or }"
    ),
    "rate-unreadable": Phrase("is {given}, not a rate", hint="such as {example* or }"),
    "rate-unreadable/bags": Phrase(
        '"{given}" is a number of bags, but a rate is a weight',
        hint='<{number} × what a bag weighs, >such as "75 lb/ac bulk"',
    ),
    "rate-unreadable/meant": Phrase("is {given}, not a rate", hint="{right* or }"),
    "rate-unreadable/of-what": Phrase('"{given}" does not say what it is a percentage of', hint="{right}"),
    "rate-unreadable/plants": Phrase(
        '"{given}" is a number of plants, but a rate is of live seeds',
        hint="<{key} = >{form}, plus the seeds that will not come up",
    ),
    "rate-unreadable/quantity": Phrase("{why}", hint="such as {example* or }"),
    "rate-unreadable/quantity-meant": Phrase("{why}", hint="{right* or }"),
    "rate-unreadable/range": Phrase('"{given}" is a range, but a rate is one number', hint="{right* or }"),
    "rate-unreadable/volume": Phrase(
        '"{given}" is a volume, but a rate is a weight',
        hint='<{number} × what a bushel weighs, >such as "56 lb/ac bulk"',
    ),
    "right-form": Phrase("{key} = {right* or }"),
    "right-form/such-as": Phrase("such as {key} = {example* or }"),
    "right-form/word-or": Phrase('<did you mean "{near}"? >{key} = "{word}", or {other}'),
    "text-control": Phrase(
        "has a backslash, which TOML reads as a special character", hint="write / instead of \\"
    ),
    "text-long": Phrase("is {n_signs} characters long", hint="{n_most} at most"),
    "very-many-digits": Phrase("a number of very many digits"),
}

_TABLES: dict[str, Phrase] = {
    "box-from-table": Phrase("{species} goes in the {box} box, as it usually does ({sources})."),
    "box-not-said/table": Phrase(
        "is missing, and the species table does not say which box to use", hint=_BOXES
    ),
    "box-unknown/drill": Phrase('is "{given}", which the drill does not have', hint=_DID_YOU_MEAN + _BOXES),
    "box-unusual": Phrase(
        "{species} goes in the {box} box, a {kind} box; it usually goes in a {usual} box ({sources})."
    ),
    "carrier-to-what": Phrase(
        "does not say how much to add, and the box has no metering range",
        hint='such as carrier = "{carrier} to 2 bu/ac", or metering = ["1.5 bu/ac", "6 bu/ac"] under the box',
    ),
    "carrier-unknown": Phrase(
        '"{carrier}" has no known weight',
        hint=_DID_YOU_MEAN + 'weigh a bucket, then write such as carrier = "{carrier} at 9 lb/bu"',
    ),
    "currencies": Phrase("has several currencies: {currencies*, }", hint="use one currency"),
    "default-used": Phrase("{key} = {value} ({sources})"),
    "default-used/least-given": Phrase("{key} where a residual is given = {value} ({sources})"),
    "default-used/least-not-given": Phrase("{key} where no residual is given = {value} ({sources})"),
    "default-used/from-radius": Phrase("{key} by the turning radius = {value:1} ({sources})"),
    "default-used/of-kind": Phrase("{key} of a {kind} box = {value} ({sources})"),
    "fit-days-table": Phrase(
        "{fit_day_prob:1} of days are taken to be fieldwork days, as published for {place} ({sources})."
    ),
    "key-twice": Phrase(
        "is also given by its older name, {older}", hint="keep {key} and leave {older} out"
    ),
    "key-missing": Phrase("is missing", hint="{asked}"),
    "key-missing/add": Phrase("is missing", hint="add {key}"),
    "key-unknown": Phrase('has no key "{name}"', hint=_KNOWN_WHERE),
    "key-unknown/table": Phrase("has no table [{name}]", hint=_KNOWN_WHERE),
    "not-a-table": Phrase("is not a table", hint="write [{key}]"),
    "not-a-table/field": Phrase(
        "is not a table", hint="write the id of a field in the heading, such as [field.north]"
    ),
    "not-a-table/list": Phrase("is not a list of tables", hint="write {head} above each {each}"),
    "species-like": Phrase(
        '{table}: unknown species. Did you mean "{near}"? As it stands, no published figures are known for it. '
        "If it is right, say so {line}."
    ),
    "species-unknown/full-stand": Phrase(
        'needs the full seeding rate of "{species}", and the species table has none< that can be used: {unfit}>',
        hint="write a rate in lb/ac PLS from your seed supplier instead",
    ),
    "species-unknown/seed-size": Phrase(
        'needs the seeds per pound of "{species}", and the species table has none< that can be used: {unfit}>',
        hint="add seeds_per_pound from the tag or your seed supplier",
    ),
    "species-unlisted": Phrase(
        "{table}: unknown species, so its figures cannot be compared with published ones."
        '< If it is a variety of {kind}, write "{kind}, {variety}".>'
    ),
    "table-missing/drill": Phrase(
        "has no [drill]", hint="fieldplan init DIR writes a job file to start from"
    ),
    "table-missing/mix": Phrase("has no [[mix]]", hint="add a mix; fieldplan init DIR shows how"),
    "table-twice": Phrase("is there more than once", hint="keep one"),
    "table-value/carrier": Phrase(
        "{carrier} weigh {weight_kg_per_m3} (published: {low_kg_per_m3..high_kg_per_m3}; {sources}); weigh a bucket to be sure."
    ),
    "table-value/full-stand": Phrase(
        "{species}: {figure} (full seeding rate, PLS<; published: {low..high}>; {sources}); prefer the tag or a count."
    ),
    "table-value/seed-size": Phrase(
        "{species}: {figure} (seeds by weight<; published: {low..high}>; {sources}); prefer the tag or a count."
    ),
    "use-no-file": Phrase("is {given}", hint='use = "other.toml"'),
    "use-no-table": Phrase(
        "has no table [{table}], which [{table}] of {user} uses", hint="add [{table}] to {named}"
    ),
}

_WARNINGS: dict[str, Phrase] = {
    "hardly-possible": Phrase(
        "= {given}< {makes}; that> can hardly be right: {likely} is likely.< As it stands, {means}.>",
        hint=_SLIPS,
    ),
    "likely": Phrase("{low} to {high}< {unit}>"),
    "likely/price": Phrase(
        "{low_per_lb} to {high_per_lb} a pound", metric="{low_per_kg} to {high_per_kg} a kilogram"
    ),
    "likely/by-width": Phrase("{low..high}"),
    "likely/up-to": Phrase("up to {high}< {unit}>"),
    "makes/box-by-width": Phrase("is {volume_box_m3_per_m} of the drill's width"),
    "makes/carrier-weight": Phrase("weighs {times_plain:2} times the published weight"),
    "makes/live": Phrase("leaves {live_typed_frac} of the seed alive, with hard and dormant seed"),
    "makes/live-seeds": Phrase("comes to {live_typed_seeds_per_m2} of live seed"),
    "makes/low-for-a-crop": Phrase("is low for seed of a crop"),
    "makes/over-bushel": Phrase("is {times_plain:2} times the published bulk weight"),
    "makes/over-full-stand": Phrase("is {times_plain:2} times the published full seeding rate"),
    "makes/over-seed-size": Phrase("is {times_plain:2} times the published number of seeds by weight"),
    "makes/price": Phrase("comes to {price_per_lb} a pound", metric="comes to {price_per_kg} a kilogram"),
    "makes/width": Phrase("makes a drill {width_m} wide"),
    "meant-line": Phrase('with the line  meant = ["{keys*", "}"]  below {below}'),
    "unlikely/value": Phrase(
        "{table}: {key} = {given}< {makes}>; {likely} is likely.< As it stands, {means}.> " + _SLIPS + "."
    ),
}

_MODEL: dict[str, Phrase] = {
    "box-twice": Phrase("has two boxes of the same name", hint="give each box its own name"),
    "carrier-twice": Phrase(
        "{carrier} are given two different weights",
        hint="one weight for one carrier, or a name of its own for each",
    ),
    "carriers-differ": Phrase(
        'mix "{mix}" gives the {box} box two different carriers',
        hint="name the carrier at one component of the box, or the same at each",
    ),
    "chart-twice": Phrase(
        "has the same setting of a seed and range twice in its rate chart",
        hint="keep the line that the chart shows",
    ),
    "field-empty": Phrase("has no area"),
    "field-empty/ground": Phrase("has no ground"),
    "finish-before-start": Phrase(
        "{finish} lies before start {start}",
        hint="start = 2027-05-10 and finish_by = 2027-06-10 are in the right order",
    ),
    "finish-before-start/no-start": Phrase(
        "needs a start as well",
        hint="start = 2027-05-10 and finish_by = 2027-06-10 are in the right order",
    ),
    "lot-twice": Phrase(
        "{species}< ({lot})> is in the job with two different tags",
        hint="copy the same figures for the same lot, or give each lot its own name",
    ),
    "lot-twice-in-mix": Phrase(
        'mix "{mix}" names {species}< {lot}> twice',
        hint="name a lot once in a mix; where it goes in two boxes, give the second a lot name of its own",
    ),
    "mix-empty": Phrase('mix "{mix}" has no component', hint="add [[mix.component]]"),
    "mix-twice": Phrase("two mixes have the same name", hint="give each mix its own name"),
    "out-of-range": Phrase(
        "<{part} >is out of range",
        hint='it should be <"{word}", or >from {low} to {high}, such as {example}',
    ),
    "out-of-range/above": Phrase(
        "<{part} >is out of range", hint="it should be above {low} and up to {high}, such as {example}"
    ),
    "out-of-range/every-day": Phrase("names every day of the week", hint="leave a day to work on"),
    "out-of-range/example": Phrase("is out of range", hint="it should be such as {example}"),
    "out-of-range/least": Phrase(
        "is not less than usable", hint='such as residual = "10 %", usable = "90 %"'
    ),
    "out-of-range/metering": Phrase("does not run from low to high", hint='["0.2 bu/ac", "4 bu/ac"]'),
    "out-of-range/overlap": Phrase(
        "is not between nothing and the width of the drill", hint='such as "4 in"'
    ),
    "out-of-range/width": Phrase(
        "rows × row_spacing − pass_overlap gives a drill {width_m} wide",
        hint="fieldplan plans drills of {least_m} and wider",
    ),
    "season-ends-early": Phrase("lies before opens", hint="opens = 2027-04-19, closes = 2027-06-19"),
    "season-long": Phrase("is longer than a year", hint="plan one season at a time"),
    "start-missing": Phrase("needs a start to know which days are off", hint="start = 2027-05-10"),
    "tag-coating": Phrase(
        "coating of {coating_typed_frac} does not go with {purity_typed_frac} pure seed",
        hint="coating is inert matter: purity must be the pure seed of the whole bag as the tag gives it",
    ),
    "tag-no-live-seed": Phrase(
        "purity × live seed is under {least_typed_frac}", hint="check purity and germination"
    ),
    "tag-over-100": Phrase(
        "germination, hard and dormant seed add to more than 100 %",
        hint="the tag's germination leaves out hard and dormant seed; check whether it was added in already",
    ),
    "tag-parts": Phrase(
        "purity, other_crop, inert and weed_seed add to {given_frac:2}, not to 100 %",
        hint="copy the four figures from the tag",
    ),
}

_CARD: dict[str, Phrase] = {
    "card-value/alternatives": Phrase(
        "needs two charges or more, and no deposit", hint="the same word at each of the alternatives"
    ),
    "card-value/amount": Phrase("is {given}", hint='such as "{example}"'),
    "card-value/charge-twice": Phrase(
        "is there twice under the same conditions", hint="give each a name, or conditions of its own"
    ),
    "card-value/currency": Phrase("is {given}", hint='one to three signs or letters, such as "$" or "EUR"'),
    "card-value/days": Phrase("is {given}", hint='whole days, such as "30 days"'),
    "card-value/free": Phrase("needs a charge by the acre, day, hour or mile"),
    "card-value/idle": Phrase(
        "has {idle*, }, which have no effect with {beside}", hint="with {beside}, use: {known*, }"
    ),
    "card-value/least-acres": Phrase("needs a charge by the acre"),
    "card-value/money": Phrase(
        "is {given}, not an amount of money in {currency}",
        hint='such as "{currency}14/ac", "{currency}25/day", "{currency}75/h", "{currency}0.65/mi" or "{currency}50"',
    ),
    "card-value/of": Phrase(
        'names "{of}", which is not a charge above it', hint="put the charge it is a share of above it"
    ),
    "card-value/of-above": Phrase(
        'names "{of}", which is not a charge above it', hint="one of: all, {above*, }"
    ),
    "card-value/share": Phrase(
        "needs a share and what it is of", hint='such as share = "-50 %", of = "drill rent"; or of = "all"'
    ),
    "card-value/share-range": Phrase("is {given}", hint="from -100 % to 999 %"),
    "card-value/sum": Phrase("is {given}, not a plain amount", hint='such as "{currency}140"'),
    "card-value/tables": Phrase("needs one [rate_card] and at least one [[charge]]"),
    "card-value/tier-bounds": Phrase(
        'must rise, each but the last with its "to"', hint='the last tier has no "to"'
    ),
    "card-value/tier-rate": Phrase("needs either a rate or a flat amount"),
    "card-value/tier-units": Phrase(
        "must be by one unit: the acre, day, hour or mile",
        hint='such as rate = "$12/ac" in each; a flat amount is flat = "$120"',
    ),
    "card-value/tiers": Phrase(
        "is not a list of tiers",
        hint='such as tiers = [{ to = "20 ac", rate = "$12/ac" }, { rate = "$11/ac" }]',
    ),
    "card-value/unreadable": Phrase(
        "{why}", hint='<{key} = {right}><did you mean {key} = "{near}"? ><one of: "{choices*", "}">'
    ),
    "card-value/words": Phrase("is not a table of words", hint='such as { area = "outside" }'),
    "card-value/words-alike": Phrase('is almost "{near}"', hint='use one spelling: did you mean "{near}"?'),
    "key-missing/card-acres": Phrase(
        "is missing", hint='say which acres are billed: acres = "map", "meter" or "to sow"'
    ),
    "key-missing/card-charge": Phrase(
        "needs exactly one of rate, tiers and share", hint='such as rate = "$14/ac"'
    ),
    "key-missing/card-one-of": Phrase(
        "is missing", hint='say whether the "greater" or the "smaller" of the alternatives counts'
    ),
    "key-unknown/card": Phrase('has no key "{name}"', hint=_DID_YOU_MEAN + "known here: {known*, }"),
    "key-unknown/card-table": Phrase(
        "is not a table of a rate card", hint=_DID_YOU_MEAN + "tables: [rate_card] and [[charge]]"
    ),
    "tier-ambiguous": Phrase(
        "must be given: cards are read both ways, and 41 acres can cost less than 40",
        hint='"whole job": the tier\'s rate applies to all acres; "extra acres": only to those beyond the tier below',
    ),
    "tier-ambiguous/fraction": Phrase(
        "must be given: 20.5 acres could fall in the tier up to 20 or in the one from 21",
        hint='"next tier" or "lower tier"',
    ),
}

_OF_LISTS = {
    "empty": Phrase("has no {what}", hint="columns: {columns*, }"),
    "many": Phrase("has {n_rows} {what}", hint="at most {n_most}"),
    "not-csv": Phrase("{file}: {said}", hint="a quote that is opened must be closed; save it as CSV"),
}
_OF_TOML = {
    "not-text/office": Phrase("is a word processor's or spreadsheet's file, not plain text", hint=_SAVE),
    "not-text/toml": Phrase("is not a text file in UTF-8", hint=_SAVE),
    "not-text/wide": Phrase("is text in UTF-16, as some editors save it, not in UTF-8", hint=_SAVE),
    "not-toml/line": Phrase("{file}, line {line} ({shown}) {why}", hint="write {right}"),
    "not-toml/line-shape": Phrase("{file}, line {line} ({shown}) {why}", hint=_SHAPE),
    "not-toml/nested": Phrase("is nested too deep to be a {what}"),
    "not-toml/other": Phrase("is {is_what}", hint=_SAVE),
    "not-toml/said": Phrase("{file}<, line {line} ({shown})> cannot be read ({said})", hint=_SHAPE),
}
_FILES: dict[str, Phrase] = {
    **{
        f"{listed}-{kind}": phrase
        for listed in ("distances", "entries", "requests")
        for kind, phrase in _OF_LISTS.items()
    },
    **{
        f"{wanted}-{kind}": phrase
        for wanted in ("card", "job", "season")
        for kind, phrase in _OF_TOML.items()
    },
    "called/card": Phrase("rate card"),
    "called/job": Phrase("job file"),
    "called/list": Phrase("list of {what}"),
    "called/used": Phrase("file that [{table}] of {user} uses"),
    "column-missing": Phrase('has no column "{name}"', hint='<is it "{near}"? >{holds}'),
    "column-twice": Phrase('has the column "{name}" twice', hint="keep one"),
    "file-is/json": Phrase(f"JSON, not TOML ({_TOML_HAS})"),
    "file-is/rtf": Phrase("a rich text (RTF) file, not plain text"),
    "file-is/xml": Phrase("a web page or XML, not a TOML file"),
    "file-is/yaml": Phrase(f"YAML, not TOML ({_TOML_HAS})"),
    "try/csv": Phrase("save it as CSV in UTF-8, not as a workbook or plain CSV"),
    "try/init": Phrase("fieldplan init DIR writes one to start from"),
    "try/use": Phrase('use = "other.toml"'),
}

_LINES: dict[str, Phrase] = {
    "line/backslash": Phrase("has a backslash in quotes"),
    "line/bare-point": Phrase("has a number with no digit on one side of its point"),
    "line/behind-quote": Phrase("has text after the closing quote"),
    "line/brackets": Phrase("has brackets around its value"),
    "line/bullet": Phrase("begins with a bullet"),
    "line/colon": Phrase("has a colon before its ="),
    "line/curly-quotes": Phrase("has curly quotes instead of straight ones"),
    "line/date-form": Phrase("has a date that is not year-month-day"),
    "line/decimal-comma": Phrase("has a decimal comma instead of a point"),
    "line/empty-value": Phrase(f"has no value ({_LEAVE_OUT})"),
    "line/ends-in": Phrase("ends in {sign}, which does not belong there"),
    "line/equals-twice": Phrase("has = twice"),
    "line/inches": Phrase('has " for inches, and no quotes around it'),
    "line/inches-within": Phrase('has " for inches within quotes'),
    "line/key-blanks": Phrase("has a key with spaces in it"),
    "line/leading-zero": Phrase("has a number that begins with 0"),
    "line/list-open": Phrase("begins a list that is not closed with {sign}"),
    "line/list-quotes": Phrase("has list entries without quotes"),
    "line/list-quoting": Phrase("has quotes or commas that do not fit together"),
    "line/neither": Phrase("has no = in it; comments begin with #"),
    "line/no-comma": Phrase("lacks a comma in its list"),
    "line/no-comma-at-end": Phrase("lacks a comma at its end"),
    "line/no-equals": Phrase("has no = between key and value"),
    "line/no-head": Phrase("is not a table heading"),
    "line/no-remark": Phrase("is not a comment: comments begin with #"),
    "line/no-such-day": Phrase("is a day that does not exist"),
    "line/no-value": Phrase(f"has no value after the = ({_LEAVE_OUT})"),
    "line/number-commas": Phrase("has a number with commas"),
    "line/odd-blanks": Phrase(
        "has special spaces that cannot be read (they look like ordinary ones: type them again)"
    ),
    "line/quantity-unquoted": Phrase("has a quantity without quotes"),
    "line/quote-inside": Phrase("has a quote in the middle of the value"),
    "line/quotes-open": Phrase("has quotes that are not closed"),
    "line/quotes-twice": Phrase("has its quotes twice"),
    "line/remark": Phrase("has a comment that does not begin with #"),
    "line/single-and-double": Phrase(
        "has [{table}] in single brackets, and line {line} has it in double ones"
    ),
    "line/stands-already": Phrase("repeats {what} of line {line}"),
    "line/text-unquoted": Phrase("has text without quotes"),
    "line/true-or-false": Phrase("is written in small letters without quotes: true or false"),
    "line/unreadable": Phrase("cannot be read"),
    "line/words-beside": Phrase("has words beside its number"),
    "right/at-its-end": Phrase("a {sign} at its end"),
    "right/head-of-each": Phrase("[[{table}]] above each of them"),
    "right/once": Phrase("it once"),
    "right/one-head": Phrase("one [{table}] with all its lines"),
}

PHRASES: dict[str, Phrase] = {**_VALUES, **_TABLES, **_WARNINGS, **_MODEL, **_CARD, **_FILES, **_LINES}
