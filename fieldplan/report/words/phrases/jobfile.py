"""Sentences about what stands in job files and lists."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

_DID_YOU_MEAN = '<did you mean "{near}"? >'
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
    "not-a-telephone": Phrase(
        "is {given}, without a telephone number", hint='such as "district office, 555-0142"'
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
        "is missing, and the species table does not say which box to use",
        hint='<name one of the drill in this [[mix.component]]: box = "{boxes*" or box = "}">',
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
    "default-used/from-width": Phrase("{key} by the drill's width = {value:1} ({sources})"),
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
    "species-like/taken": Phrase(
        '{table}: unknown species. Did you mean "{near}"? It is taken for that, with its published figures. If it is right, say so {line}.'
    ),
    "form-missing": Phrase(
        "the count of {species} differs {times_plain} times by the form of its seed: {forms*; }",
        hint="add form = {right* or } as the tag names it, or seeds_per_pound",
    ),
    "form-unknown": Phrase(
        'the species table has no count of {species} as "{given}"', hint="it has {forms*, }; or coated"
    ),
    "form-unsaid": Phrase(
        "{table}: the job file does not say the form of the seed, and its count differs {times_plain} times by it: {forms*; } "
        "({sources}). Add form as the tag names it."
    ),
    "seed-form": Phrase("{form} {low..high}"),
    "coating-unsaid": Phrase(
        "{table}: the seed is coated, and the job file gives no coating. Coating is inert matter: make sure that purity leaves it out."
    ),
    "tz-below-germination": Phrase(
        "{table}: the tetrazolium test finds {tz_typed_frac} viable, less than the {live_typed_frac} of germination and hard seed. Ask the laboratory."
    ),
    "test-limit-source": Phrase(
        "a limit of your own needs its source", hint='such as test_limit_source = "Iowa Code 199.8 (2025)"'
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
    "table-missing/mix": Phrase(
        "has no [[mix]]",
        hint="add a mix; fieldplan init DIR shows how, fieldplan mix makes one from a target",
    ),
    "letterhead-missing": Phrase(
        "has no letterhead",
        hint='letterhead = ["Name of the district", "its address"], under [season] or under [drill]',
    ),
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
    "out-of-range/pass-radius": Phrase(
        "pass_radius must not be less than sowing_radius or turning_radius, {radius_m:1}",
    ),
    "out-of-range/sowing-radius": Phrase(
        "sowing_radius must not be less than turning_radius, {radius_m:1}",
        hint="the rig turns no tighter with the openers in the ground than lifted",
    ),
    "out-of-range/width": Phrase(
        "rows × row_spacing − pass_overlap gives a drill {width_m} wide",
        hint="fieldplan plans drills of {least_m} and wider",
    ),
    "payload-used-up": Phrase(
        "is used up by people, gear and tongue, {taken_kg} in all",
        hint="use another truck, or carry less: nothing is left for seed",
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

PHRASES: dict[str, Phrase] = {**_VALUES, **_TABLES, **_WARNINGS, **_MODEL}
