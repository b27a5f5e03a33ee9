"""What is said of seasons of rentals."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

_FILES: dict[str, Phrase] = {
    "table-missing/season": Phrase("has no table [season]", hint="[season] opens = 2027-04-19"),
    "table-missing/season-drill": Phrase("has no table [[drill]]", hint='[[drill]] name = "ten foot"'),
    "drill-twice": Phrase('two drills are named "{drill}"', hint="give each a name of its own"),
    "card-not-found/named": Phrase("names {card}, which is no file", hint='such as "rates.toml"'),
    "drill-far": Phrase(
        'the home of drill "{drill}" lies {away_m} from every request',
        hint="home with lat = 44.25 and lon = -95.75: latitude and longitude in degrees, west of Greenwich below nothing",
    ),
    "rule-column": Phrase(
        'serve_first names "{column}", which is no column of the requests',
        hint='<did you mean "{near}"? >columns: {columns}',
    ),
    "bookings-not-a-season": Phrase(
        "is no season as it was planned", hint="season.json of fieldplan season plan --out DIR"
    ),
    "distance-row": Phrase(
        'with "{start}", "{end}", "{miles}" is no distance between two places',
        hint="two names and miles from 0 to {n_most_miles}",
    ),
    "distance-twice": Phrase('has the way from "{start}" to "{end}", which stands twice', hint="keep one"),
}

_REQUESTS: dict[str, Phrase] = {
    "request-far": Phrase(
        "lie {away_m} from any drill",
        hint="latitude and longitude in degrees, each in its own column, west of Greenwich below nothing",
    ),
    "request-row/beyond": Phrase(
        "has {n_cells} {n_cells|cell|cells} more than there are columns",
        hint="quote cells that hold the separator",
    ),
    "request-row/long": Phrase("is {n_characters} characters long"),
    "request-row/empty": Phrase("is empty"),
    "request-row/twice": Phrase('"{given}" stands in row {row} too'),
    "request-row/acres": Phrase(
        "and fields: one of the two must say how much ground there is, and only one<; is it {named* or }?>"
    ),
    "request-row/ends-early": Phrase("{until_typed_day} lies before ready {ready_typed_day}"),
    "request-row/no-date": Phrase(
        '"{given}" is no date as YYYY-MM-DD: give the column that format before saving'
    ),
    "request-row/far-date": Phrase('"{given}" lies outside {first} to {last}'),
    "request-row/boxes": Phrase('"{given}" names other boxes than grain, native, small'),
    "request-row/no-number": Phrase('"{given}" is no number'),
    "request-row/outside": Phrase('"{given}" lies outside {low_plain..high_plain}'),
    "column-holds": Phrase("{what}"),
    "column-like": Phrase(
        'The list of requests has a column "{named}", which means nothing here but to rules: did you mean "{known}" ({holds})?'
    ),
}

_WARNINGS: dict[str, Phrase] = {
    "season-doubt": Phrase("{doubt}"),
    "request-doubt": Phrase(
        "Row {row}, {request}: {doubts*; }. Is that right? The list is planned as it stands."
    ),
    "day-doubt/before": Phrase("{column} = {doubted_typed_day} is {n_days} days before {of}"),
    "day-doubt/after": Phrase("{column} = {doubted_typed_day} is {n_days} days after {of}"),
    "season-opens": Phrase("the season opens"),
    "season-closes": Phrase("the season closes"),
    "size-doubt": Phrase("{column} = {given_plain:6}, where {low_plain..high_plain} is likely"),
    "rule-doubt": Phrase(
        'serve_first: "{rule}" puts nobody first, for no row has that. Did you mean "{near}"?'
    ),
    "days-off-doubt": Phrase(
        "{drill}: days_off has {off_typed_day}< and {n_more} more>, outside the season. Is the year right?"
    ),
}

_NOTES: dict[str, Phrase] = {
    "request-in-part": Phrase(
        "nothing is drilled on {undrilled} with {drill}; the days booked are for its other fields."
    ),
    "acres-only": Phrase(
        "Planned as a rectangle twice as long as wide, its long side east and west, because only their size is known: {requests}."
    ),
    "season-lengths": Phrase(
        "Days to book hold the inspection and the road from the farthest place that the drill could come from; "
        "whoever had it before, they hold."
    ),
    "season-roads": Phrase(
        "Roads are those of the table of distances; where it has none, the straight distance times the drill's road factor."
    ),
    "season-sharing": Phrase(
        "Up to {n_most} short jobs share a drill's days where their hours, with set-up, clean-out, inspection and the road "
        "between them, fit in one working day. They are booked for the same days and work on the same fit day, in the order given."
    ),
    "season-waiting": Phrase(
        "Waiting is counted in days from the first day that the request could begin, by its own dates, the season and the notice."
    ),
}

_REASONS: dict[str, Phrase] = {
    "turn-by-rules": Phrase("turn {n_turn} of {n_turns} by the rules"),
    "rule-value/yes": Phrase("{rule}: yes"),
    "rule-value/no": Phrase("{rule}: no"),
    "rule-lower": Phrase("{column} {cell}"),
    "rule-lower/empty": Phrase("{column} nothing"),
    "placed-confirmed": Phrase("confirmed: it stays where it was<; {parts*; }>"),
    "placed-by-rules": Phrase("{turn}< ({found})>; {parts*; }"),
    "only-drill": Phrase("the only drill that can do it"),
    "waits": Phrase("waits {n_days} {n_days|day|days} behind {holders}"),
    "waits/for-a-working-day": Phrase("waits {n_days} {n_days|day|days} for a working day"),
    "waits/not": Phrase("on the first day it can begin"),
    "shares-days": Phrase(
        "shares its days with {others}: first {in_turn* then }, on the same day; together {together_s} of a working day of {day_s}"
    ),
    "holders": Phrase("{named}< and {n_more} more>"),
    "holder": Phrase("{renter} (turn {n_turn})"),
    "holder/confirmed": Phrase("{renter} (confirmed)"),
    "notice": Phrase("{n_days} days of notice from {asked_typed_day} are behind it"),
    "refused-outside": Phrase(
        "no day from {ready_typed_day} to {until_typed_day} lies in the season, {opens_typed_day} to {closes_typed_day}< ({notice})>"
    ),
    "refused-no-drill": Phrase("no drill can do it: {each*; }"),
    "refused-long": Phrase("needs {n_days} working days, more than the longest booking of {n_longest}"),
    "refused-narrow": Phrase(
        "needs {n_days} working days with {drill}, and its window from {earliest_typed_day} to {last_typed_day} holds {n_held}< ({notice})>"
    ),
    "refused-by-rules": Phrase("{turn}< ({found})>; its days go to {holders}"),
    "drill-cannot": Phrase("{drill}: {why}"),
    "drill-without-mix": Phrase('it has no mix "{mix}"< (did you mean "{near}"?)>'),
    "drill-without-box": Phrase("it has no {boxes* or } box"),
    "tractor-too-small": Phrase("the tractor is too small: {why}"),
    "drill-cannot-book": Phrase("{why*. }"),
    "nothing-of-it-drilled": Phrase("nothing of it is drilled"),
}

_OFFERS: dict[str, Phrase] = {
    "offer-later": Phrase(
        "{n_days} {n_days|day|days} later: with {drill} it would be done by {done_typed_day}"
    ),
    "offer-less-ground": Phrase(
        "<{how}, >{less_m2:1} less ({ground_m2:1}): {drill} is free for {n_days} working {n_days|day|days}"
    ),
    "without-fields": Phrase("without {gone}"),
    "smaller-outline": Phrase("its outline made smaller"),
    "offer-other-drill": Phrase(
        "{drill} has the {n_days} working {n_days|day|days} free that it would take, but cannot do it now: {why}"
    ),
}

_RAIN: dict[str, Phrase] = {
    "confirmed-cannot-stay": Phrase(
        "{renter} ({request}) is confirmed with {drill} from {first_typed_day}, and cannot stay there: its dates, its length, {season} or "
        "another confirmed booking are in the way",
        hint="put the list, the season's file or the confirmation right: fieldplan season record … confirm … corrects=…",
    ),
    "done-unknown": Phrase('"{request}" has no booking', hint="bookings: {bookings}"),
    "booking-unknown": Phrase(
        'The booking of "{request}" with {drill} fits neither the requests nor the drills',
        hint="the season.json that was planned from this season file",
    ),
    "done-not-said": Phrase(
        '"{request}" has begun: how much of it is done is not said', hint='--done "{request}=60 %"'
    ),
    "lost-outside": Phrase(
        "{lost_typed_day} lies outside the season", hint="{opens_typed_day} to {closes_typed_day}"
    ),
    "lost/no-days": Phrase("no drill has enough working days left before {last_typed_day}"),
    "lost/by-rules": Phrase(
        "the days left before {last_typed_day} go to those served before it by the rules"
    ),
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
}

_CHANGES: dict[str, Phrase] = {
    "as-it-is": Phrase("as it is"),
    "one-more-drill": Phrase("one more {drill}"),
    "wider-drill": Phrase("{drill} {width_m:1} wide"),
    "all-work-on": Phrase("all work on {weekday}s"),
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
