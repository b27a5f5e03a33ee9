"""Phrases about bookings as they live in the store of a season: promises, answers, requirements, renters."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

_RELEASE = "release it first: fieldplan season record … release request={request}; both at once with --from"

_STORE: dict[str, Phrase] = {
    "store-moved-on": Phrase(
        "somebody entered something while this was planned (the last row is {row} now): nothing was written",
        hint="run it again",
    ),
    "season-unplanned": Phrase(
        "no booking of this season is in its store", hint="fieldplan season plan first"
    ),
    "earlier-itself": Phrase("names itself among the earlier seasons", hint='earlier = ["../2026"]'),
    "renter-two-names": Phrase(
        "the renter {renter} has another name in row {row}",
        hint="one renter_id is one renter: give the other one an id of its own, or the same name",
    ),
    "renter-unknown": Phrase('no renter has the id "{given}"', hint="<one of: {known}>"),
}

_TYPED: dict[str, Phrase] = {
    "not-days/entry": Phrase('is "{given}", not days in order with spaces between them'),
    "not-names": Phrase('is "{given}", not names with commas between them'),
    "not-json": Phrase('is "{given}", not what season plan writes there'),
}

_ANSWERS: dict[str, Phrase] = {
    "withdrawn-already": Phrase(
        "{request} was withdrawn< ({row})>", hint="strike the withdrawal if that was a mistake"
    ),
    "drill-still-out": Phrase(
        "{drill} is out with {request}", hint="enter its return first: in; or the days given back: shorten"
    ),
    "held-moved": Phrase(
        "{request} is confirmed with {drill} from {first_typed_day} and cannot be moved", hint=_RELEASE
    ),
    "nothing-to/release": Phrase(
        "{request} is not confirmed", hint="fieldplan season ledger shows what is"
    ),
    "nothing-to/cancel": Phrase(
        "{request} has no booking", hint='if the request is off, that is an entry "withdraw"'
    ),
    "nothing-to/shorten": Phrase(
        "{request} has no booking with that last day inside it", hint="last=… is the last day that is kept"
    ),
    "nothing-to/done": Phrase("{request} has no booking", hint="fieldplan season ledger shows who has"),
    "lost-span": Phrase("until is before day, or {n_most} days or more after it", hint="the last day lost"),
    "down-already": Phrase(
        "{drill} is out of work already, from {since_typed_day} to {last_typed_day} ({row})",
        hint="correct that row with corrects=…, or enter the repair with works=…",
    ),
    "repair-of-nothing": Phrase(
        "{drill} was not out of work: there is no breakdown that this repair could end",
        hint="leave out works and broke, or enter the breakdown first: down drill=… day=… until=… what=…",
    ),
    "works-before": Phrase(
        "{drill} would work again before it broke down on {since_typed_day}",
        hint="the first day after the repair",
    ),
    "confirm-what": Phrase(
        "{request} has no booking to say yes to", hint='name the place: drill="ten foot" first=2027-04-24'
    ),
    "confirmed-elsewhere": Phrase(
        "{request} is confirmed with {drill} from {first_typed_day}", hint=_RELEASE
    ),
    "days-shrink": Phrase(
        "the booking of {request} would lose days",
        hint='days that a renter gives back are an entry "shorten"',
    ),
    "days-taken": Phrase(
        "{n_days} of these {n_days|day is|days are} {other}'s, who is confirmed with {drill}: {on_typed_day} is the first",
        hint="fieldplan season offers shows days that are free",
    ),
    "agreed-cannot": Phrase("{drill} cannot do {request}: {why}", hint="another drill, or another request"),
    "agreed-few-days": Phrase(
        "{request} takes {n_days} working days with {drill}, and the season has {n_left} left from there on",
        hint="an earlier first day",
    ),
    "rain-and-sown/otherwise": Phrase(
        "{drill} sowed on {on_typed_day} but lost that day: {why} ({row})",
        hint="a day is lost only if nothing was sown on it",
    ),
}

_REASONS: dict[str, Phrase] = {
    "placed-back": Phrase("done: the drill came back on {back_typed_day}"),
    "placed-out": Phrase("has the drill"),
    "refused-on-offer": Phrase(
        "days that would hold it are free again and on offer: fieldplan season offers says who is to be phoned first"
    ),
    "choice-longer": Phrase(
        "give {request} {n_days} more {n_days|day|days}, to {last_typed_day}: nobody has them"
    ),
    "choice-longer-moves": Phrase(
        "give {request} {n_days} more {n_days|day|days}, to {last_typed_day}: that moves {n_moved} {n_moved|booking|bookings} that "
        "nobody has confirmed<, and {lost} would have no days>"
    ),
    "choice-other-moves": Phrase(
        "ask {request} to move to {first_typed_day} to {last_typed_day} with {drill}; {for_request} then has {n_days} more {n_days|day|days}"
    ),
    "choice-itself-moves": Phrase(
        "ask {request} to move to {first_typed_day} to {last_typed_day} with {drill}, with the odds that were asked for"
    ),
    "choice-waits": Phrase("cancel the booking of {request}: it waits until days are free"),
    "choice-waits/first": Phrase(
        "cancel the booking of {request}: it waits, and comes first when days are free again"
    ),
    "choice-withdraws": Phrase("ask {request} whether it withdraws"),
    "choice-split": Phrase(
        "split it: {request} gives the drill back when its days are over, and what is left of its ground gets a row of its own in "
        "the list"
    ),
    "choice-as-it-is": Phrase(
        "leave it: {request} takes the odds as they are, or gives part of the work up"
    ),
}

_REQUIREMENTS: dict[str, Phrase] = {
    "requirement-unreadable": Phrase(
        'before_out has "{given}", which is no requirement',
        hint='["agreement", "insurance", "training", "deposit = $100", "tractor", "mix", "standing"]',
    ),
    "requirement-open": Phrase("{request}: {name}: {why}"),
    "requirement-cure/met": Phrase(
        'fieldplan season record … met request={request} what="{name}" first; or let it pass with a reason: waive="{name}" why="…"'
    ),
    "requirement-cure/deposit": Phrase(
        'fieldplan season record … deposit request={request} sum={least} first; or let it pass with a reason: waive=deposit why="…"'
    ),
    "requirement-cure/standing": Phrase(
        'fieldplan season record … standing request={request} good=yes why="…" first; or let it pass with a reason: waive=standing why="…"'
    ),
    "requirement-cure/fit": Phrase('another drill; or let it pass with a reason: waive="{name}" why="…"'),
    "waive-why": Phrase("{request}: waive has no why", hint='why="certificate comes Monday"'),
    "waive-unknown": Phrase('the season requires no "{given}"', hint="<one of: {known}>"),
    "open-deposit": Phrase("{held} is held, {least} is asked for"),
    "open-not-shown": Phrase("not recorded as met"),
    "open-over": Phrase("held until {until_typed_day} only"),
    "open-standing": Phrase("may not rent since {since_typed_day}: {why}"),
    "open-not-known": Phrase("the request is not known"),
    "open-tractor": Phrase("{why}"),
    "open-tractor-not-given": Phrase("the list gives no tractor_hp"),
    "met-deposit": Phrase("{held} is held"),
    "met-fits": Phrase("fits"),
    "met-standing": Phrase("good"),
    "met-shown": Phrase("met on {met_typed_day}"),
}

_STRUCK: dict[str, Phrase] = {
    "struck": Phrase("Row {row} ({kind}) is struck: {left}. To enter it again, put right: {typed}"),
    "left-out": Phrase("{drills* and } is out with {request}"),
    "left-home": Phrase("no drill is out with {request}"),
    "left-paid": Phrase("{request} has paid {total} in all"),
    "left-deposit": Phrase("{total} of {request}'s deposit is held"),
    "left-entries": Phrase(
        '{n_entries} {n_entries|entry|entries} "{kind}" of {request} {n_entries|is|are} left'
    ),
    "left-lost": Phrase("{on_typed_day} counts as a day to work again, unless another row has it as lost"),
    "left-withdrawn": Phrase("{request} is withdrawn"),
    "left-confirmed": Phrase(
        "{request} is confirmed with {drill} from {first_typed_day} to {last_typed_day}"
    ),
    "left-planned": Phrase(
        "{request} is planned with {drill} from {first_typed_day} to {last_typed_day}, and nobody has confirmed it"
    ),
    "left-agreed": Phrase(
        "{request} is confirmed with {drill} from {first_typed_day}, and season plan will count its days"
    ),
    "left-without-days": Phrase("{request} has no days"),
    "left-nothing": Phrase("nothing else hangs on it"),
}

PHRASES: dict[str, Phrase] = {
    **_STORE,
    **_TYPED,
    **_ANSWERS,
    **_REASONS,
    **_REQUIREMENTS,
    **_STRUCK,
}
