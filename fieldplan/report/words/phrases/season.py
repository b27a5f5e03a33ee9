"""Phrases about seasons of rentals."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

_FILES: dict[str, Phrase] = {
    "table-missing/season": Phrase("has no table [season]", hint="[season] opens = 2027-04-19"),
    "table-missing/season-drill": Phrase("has no table [[drill]]", hint='[[drill]] name = "ten foot"'),
    "drill-twice": Phrase('two drills are named "{drill}"', hint="give each a name of its own"),
    "card-not-found/named": Phrase("names {card}, which is not a file", hint='such as "rates.toml"'),
    "drill-far": Phrase(
        'the home of drill "{drill}" lies {away_m} from every request',
        hint="home with lat = 44.25 and lon = -95.75: latitude and longitude in degrees, negative west of Greenwich",
    ),
    "rule-column": Phrase(
        'serve_first names "{column}", which is not a column of the requests',
        hint='<did you mean "{near}"? >columns: {columns}',
    ),
    "bookings-not-a-season": Phrase(
        "is not a planned season", hint="season.json of fieldplan season plan --out DIR"
    ),
    "distance-row": Phrase(
        '"{start}", "{end}", "{miles}" is not a distance between two places',
        hint="two names and miles from 0 to {n_most_miles}",
    ),
    "distance-twice": Phrase(
        'gives the distance from "{start}" to "{end}" a second time', hint="keep one row"
    ),
}

_REQUESTS: dict[str, Phrase] = {
    "request-far": Phrase(
        "lie {away_m} from any drill",
        hint="latitude and longitude in degrees, each in its own column, negative west of Greenwich",
    ),
    "request-row/beyond": Phrase(
        "has {n_cells} {n_cells|cell|cells} more than there are columns",
        hint="quote cells that hold the separator",
    ),
    "request-row/long": Phrase("is {n_characters} characters long"),
    "request-row/empty": Phrase("is empty"),
    "request-row/twice": Phrase('"{given}" is also in row {row}'),
    "request-row/acres": Phrase(
        'and column "fields": fill in exactly one of the two<; is it in column {named* or }?>'
    ),
    "request-row/ends-early": Phrase("{until_typed_day} is before ready, {ready_typed_day}"),
    "request-row/no-date": Phrase(
        '"{given}" is not a date in the form YYYY-MM-DD: set that format for the column before saving'
    ),
    "request-row/no-dates": Phrase(
        '"{given}" is not a date in the form YYYY-MM-DD, and neither are {n_more} more cells of the column: set that format '
        "for the column before saving"
    ),
    "request-row/far-date": Phrase('"{given}" is not in the years {first} to {last}'),
    "request-row/boxes": Phrase('"{given}" names boxes other than grain, native, small'),
    "request-row/no-number": Phrase('"{given}" is not a number'),
    "request-row/outside": Phrase('"{given}" is outside {low_plain..high_plain}'),
    "column-holds": Phrase("{what}"),
    "column-like": Phrase(
        'The list of requests has a column "{named}", which only rules use: did you mean "{known}" ({holds})?'
    ),
}

_WARNINGS: dict[str, Phrase] = {
    "season-doubt": Phrase("{doubt}"),
    "request-doubt": Phrase("Row {row}, {request}: {doubts*; }. Is that right? It is planned as written."),
    "day-doubt/before": Phrase("{column} = {doubted_typed_day} is {n_days} days before {of}"),
    "day-doubt/after": Phrase("{column} = {doubted_typed_day} is {n_days} days after {of}"),
    "season-opens": Phrase("the season opens"),
    "season-closes": Phrase("the season closes"),
    "size-doubt": Phrase("{column} = {given_plain:6}, where {low_plain..high_plain} is likely"),
    "rule-doubt": Phrase(
        'serve_first: "{rule}" puts nobody first, because no row has that value. Did you mean "{near}"?'
    ),
    "earlier-without-ids": Phrase(
        "{n_earlier} earlier {n_earlier|season is|seasons are} named, but no request has a renter_id: who owes or was seen "
        "before is told by that column alone"
    ),
    "days-off-doubt": Phrase(
        "{drill}: days_off has {off_typed_day}< and {n_more} more>, outside the season. Is the year right?"
    ),
}

_NOTES: dict[str, Phrase] = {
    "request-in-part": Phrase(
        "nothing is drilled on {undrilled} with {drill}; the days are booked for its other fields."
    ),
    "acres-only": Phrase(
        "Planned as a rectangle twice as long as wide, its long side running east and west, because only the acres are known: {requests}."
    ),
    "season-lengths": Phrase(
        "Days to book include the inspection and the road from the farthest place that the drill could come from, "
        "so they are enough whoever had it before."
    ),
    "season-roads": Phrase(
        "Roads are those of the table of distances; other roads are the straight-line distance times the drill's road factor."
    ),
    "season-sharing": Phrase(
        "Up to {n_most} short jobs share a drill's days if their hours, with set-up, clean-out, inspection and the road "
        "between them, fit into one working day. They are booked for the same days and work on the same fieldwork day, in the order given."
    ),
    "season-waiting": Phrase(
        "Waiting counts days from the first day that the request could begin by its own dates, the season and the notice."
    ),
}

_REASONS: dict[str, Phrase] = {
    "turn-by-rules": Phrase("priority {n_turn} of {n_turns} by the rules"),
    "rule-value/yes": Phrase("{rule}: yes"),
    "rule-value/no": Phrase("{rule}: no"),
    "rule-lower": Phrase("{column} {cell}"),
    "rule-lower/empty": Phrase("{column} is empty"),
    "placed-confirmed": Phrase("confirmed: it keeps its days<; {parts*; }>"),
    "placed-begun": Phrase("has begun: it keeps its days<; {parts*; }>"),
    "placed-sharing": Phrase("keeps its days with those who share them<; {parts*; }>"),
    "placed-by-rules": Phrase("{turn}< ({found})>; {parts*; }"),
    "only-drill": Phrase("the only drill that can do it"),
    "waits": Phrase("waits {n_days} {n_days|day|days} behind {holders}"),
    "waits/for-a-working-day": Phrase("waits {n_days} {n_days|day|days} for a working day"),
    "waits/not": Phrase("on the first day it can begin"),
    "shares-days": Phrase(
        "shares its days with {others}: first {in_turn* then }, on the same day; together {together_s} of a working day of {day_s}"
    ),
    "holders": Phrase("{named}< and {n_more} more>"),
    "holder": Phrase("{renter} (priority {n_turn})"),
    "holder/confirmed": Phrase("{renter} (confirmed)"),
    "holder/begun": Phrase("{renter} (has begun)"),
    "holder/sharing": Phrase("{renter} (shares days that are kept)"),
    "notice": Phrase("after {n_days} {n_days|day|days} of notice from {asked_typed_day}"),
    "refused-outside": Phrase(
        "no day from {ready_typed_day} to {until_typed_day} can be had in the season, {opens_typed_day} to {closes_typed_day}< ({notice})>"
    ),
    "refused-no-drill": Phrase("no drill can do it: {each*; }"),
    "refused-long": Phrase(
        "needs {n_days} working {n_days|day|days}, more than the longest booking of {n_longest}"
    ),
    "refused-narrow": Phrase(
        "needs {n_days} working {n_days|day|days} with {drill}, but its window from {earliest_typed_day} to {last_typed_day} has only {n_held}< ({notice})>"
    ),
    "refused-by-rules": Phrase("{turn}< ({found})>; its days go to {holders}"),
    "drill-cannot": Phrase("{drill}: {why}"),
    "drill-without-mix": Phrase('it has no mix "{mix}"< (did you mean "{near}"?)>'),
    "drill-without-box": Phrase("it has no {boxes* or } box"),
    "tractor-too-small": Phrase("the tractor is too small: {why}"),
    "drill-cannot-book": Phrase("{why*. }"),
    "nothing-of-it-drilled": Phrase("nothing on it is drilled"),
}

_OFFERS: dict[str, Phrase] = {
    "offer-later": Phrase("{n_days} {n_days|day|days} later: {drill} would be done by {done_typed_day}"),
    "offer-less-ground": Phrase(
        "<{how}, >{less_m2:1} less ({ground_m2:1}): {drill} is free for {n_days} working {n_days|day|days}"
    ),
    "without-fields": Phrase("without {gone}"),
    "smaller-outline": Phrase("with a smaller outline"),
    "offer-other-drill": Phrase(
        "{drill} has {n_days} working {n_days|day|days} free, enough for it, but cannot do it now: {why}"
    ),
}

_RAIN: dict[str, Phrase] = {
    "confirmed-cannot-stay": Phrase(
        "{renter} ({request}) is confirmed with {drill} from {first_typed_day}, but cannot keep those days: its dates, its booking "
        "duration, {season} or another confirmed booking stands in the way",
        hint="correct the list, the season's file or the confirmation: fieldplan season record … confirm … corrects=…",
    ),
    "done-unknown": Phrase('"{request}" has no booking', hint="bookings: {bookings}"),
    "booking-unknown": Phrase(
        'The booking of "{request}" with {drill} does not match the requests and drills of the season',
        hint="the season.json that was planned from this season file",
    ),
    "done-not-said": Phrase(
        '"{request}" has begun: say how much of it is done', hint='--done "{request}=60 %"'
    ),
    "lost-outside": Phrase(
        "{lost_typed_day} is outside the season", hint="{opens_typed_day} to {closes_typed_day}"
    ),
    "lost/no-days": Phrase("no drill has enough working days left before {last_typed_day}<: {because*; }>"),
    "lost/by-rules": Phrase(
        "the days left before {last_typed_day} go to others by the rules of priority<: {because*; }>"
    ),
    "because-lost": Phrase("{drill} lost {n_days} days, {first_typed_day} to {last_typed_day} ({why})"),
    "because-lost/one-day": Phrase("{drill} lost {first_typed_day} ({why})"),
    "because-goes-on": Phrase("work of {requests* and } goes on with {drill} to {last_typed_day}"),
    "never-booked": Phrase("had no booking before the rain"),
    "finished-before-rain": Phrase("finished before the rain"),
    "goes-on": Phrase("had begun and goes on"),
    "kept-in-rain": Phrase("kept"),
    "moved-after-rain": Phrase("moved after rain, from {first} to {last} with {drill}"),
}

_STEPS: dict[str, Phrase] = {
    "settling/who": Phrase("who is served"),
    "settling/days": Phrase("on which days"),
    "settling/towing": Phrase("least towing"),
    "settling/reasons": Phrase("why some are not served"),
}

_CHANGES: dict[str, Phrase] = {
    "as-it-is": Phrase("as it is"),
    "one-more-drill": Phrase("one more {drill}"),
    "wider-drill": Phrase("{drill} {width_m:1} wide"),
    "all-work-on": Phrase("all drills work on {weekday}s"),
}

PHRASES: dict[str, Phrase] = {
    **_FILES,
    **_REQUESTS,
    **_WARNINGS,
    **_NOTES,
    **_REASONS,
    **_OFFERS,
    **_RAIN,
    **_STEPS,
    **_CHANGES,
}
