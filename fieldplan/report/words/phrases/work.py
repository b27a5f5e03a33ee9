"""What is said of hours, tractors, bookings, costs and fees."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

_HOURS: dict[str, Phrase] = {
    "time-part/drilling": Phrase("sowing"),
    "time-part/turning": Phrase("turns"),
    "time-part/travelling": Phrase("driving lifted"),
    "time-part/refilling": Phrase("refills"),
    "time-part/checking": Phrase("tube checks"),
    "time-part/breaks": Phrase("breaks"),
    "time-part-short/drilling": Phrase("sowing"),
    "time-part-short/turning": Phrase("turns"),
    "time-part-short/travelling": Phrase("driving"),
    "time-part-short/refilling": Phrase("refills"),
    "time-part-short/checking": Phrase("checks"),
    "time-part-short/breaks": Phrase("breaks"),
    "time-part/pick_up": Phrase("pick-up"),
    "time-part/set_up": Phrase("set-up"),
    "time-part/calibration": Phrase("calibration"),
    "time-part/field": Phrase("fields"),
    "time-part/moving": Phrase("moves between fields"),
    "time-part/clean_out": Phrase("clean-out and return"),
    "leg/headland": Phrase("headland, sowing"),
    "leg/pass": Phrase("pass, sowing"),
    "leg/turn": Phrase("turn"),
    "leg/transfer": Phrase("driving lifted"),
    "leg/refill": Phrase("refill"),
    "leg/check": Phrase("tube check"),
    "leg/break": Phrase("break"),
    "acres-flat": Phrase(
        "Ground is measured on the ellipsoid, flat: slope and height add nothing (5 % slope is 0.125 % more ground)."
    ),
    "handbook-efficiency": Phrase(
        "Handbook hours use a field efficiency of {low_frac..high_frac} for seeding ({sources})."
    ),
    "clock-leaves-out": Phrase(
        "The clock holds {held*, } and {held_last}; {on_top*, } and breakdowns come on top."
        "< No field takes long enough for a break ({every_s} of work), so none is counted.>"
    ),
    "driving": Phrase("driving"),
    "plugged-tubes": Phrase("plugged tubes"),
    "time-spent": Phrase("{spent_s} of {part}"),
    "box-empties-in-pass": Phrase(
        "{n_stretches} {n_stretches|stretch takes|stretches take} more seed than a box holds, so the drill is filled in the middle of {n_stretches|it|them}."
    ),
}

_ABOVE = (
    ", above the usual {low_frac} to {high_frac}: long runs and few stops; {left_out} are not on the clock."
)
_BELOW = ", below the usual {low_frac} to {high_frac}: {part_frac} of the time goes into {part} in a field this small or odd."
_EFFICIENCY: dict[str, Phrase] = {
    "efficiency-unusual/above": Phrase(f"Field efficiency is {{efficiency_frac}}{_ABOVE}"),
    "efficiency-unusual/just-above": Phrase(f"Field efficiency is {{efficiency_frac:1}}{_ABOVE}"),
    "efficiency-unusual/below": Phrase(f"Field efficiency is {{efficiency_frac}}{_BELOW}"),
    "efficiency-unusual/just-below": Phrase(f"Field efficiency is {{efficiency_frac:1}}{_BELOW}"),
    "off-the-clock": Phrase("breaks, plugging and adjusting"),
    "off-the-clock/breaks-counted": Phrase("plugging and adjusting"),
}

_BOOKING: dict[str, Phrase] = {
    "fit-days-independent": Phrase(
        "The odds take each day as fit or not by itself; wet days come in spells, so real odds are somewhat lower "
        "(persistence in [booking] takes them into account)."
    ),
    "nothing-drilled": Phrase(
        "Nothing is drilled on any field of this job: there is no seed to order and there are no days to book."
    ),
    "booking-none": Phrase(
        "No booking of up to {n_most} days reaches the {asked_prob} odds asked for: {job_s} of work need {n_fit_days} fit days, "
        "and {best}. {cure}"
    ),
    "most-days-hold": Phrase("within {n_most} days the odds are {best_prob}"),
    "most-days-cannot-hold": Phrase("{n_most} days cannot hold that many"),
    "finish-by-missed": Phrase(
        "To be done by {finish_by} with {asked_prob} odds, no day from {start} on is early enough: begun on that day, the odds of "
        "being done by then are {by_then_prob:1}. {cure}"
    ),
    "would-do": Phrase("What would do: {cures*, or }."),
    "would-do/nothing": Phrase(
        "Nothing that was tried would do by itself: longer working days, up to {n_drills} drills side by side, fewer fields, lower odds."
    ),
    "cure-earlier-start": Phrase("a start by {start}"),
    "cure-longer-days": Phrase("working days of {day_s:0}< ({n_days} days to book)>"),
    "cure-more-drills": Phrase("{n_drills} drills side by side< ({n_days} days to book)>"),
    "cure-later-end": Phrase("an end on {finish}"),
    "cure-lower-odds": Phrase("odds of {asked_prob:0}< ({n_days} days to book)>"),
    "cure-fewer-fields": Phrase(
        "leaving fields out (the {n_fields} of the fewest hours take {n_days} days to book)"
    ),
    "nothing-done": Phrase(
        "Nothing was metered or worked yet: there is no pace to go by",
        hint="the plan itself says what to expect",
    ),
    "metered-too-much": Phrase(
        "The meter shows over a tenth more than the plan drills in all",
        hint="check the reading, and the fields",
    ),
    "metered-too-little": Phrase(
        "The meter shows over a tenth less than the plan drills on the fields that are done",
        hint="check the reading, and the fields named with --done",
    ),
    "left-too-much": Phrase(
        "More is left of {species} than was ordered", hint="what is left in bags and boxes together"
    ),
}

_DAY_RIGHT = "If it is right, say so with the line  meant = "
_SET = "the day of planning is set with --today."
_WARNINGS: dict[str, Phrase] = {
    "bags-many": Phrase(
        "As it stands, {n_bags} {n_bags|bag|bags} of {seed}< ({lot})> {n_bags|is|are} to be ordered, {ordered_kg} for {sown_m2}."
        "< {many}>< {dear}>"
    ),
    "bags-doubt/many": Phrase(
        "That is many bags for so much ground: are rate and bag right? If so, say so with the line  "
        'meant = ["bag"]  below its [[mix.component]].'
    ),
    "bags-doubt/dear": Phrase(
        'They cost {cost}: is the price right? If so, say so with the line  meant = ["price"]  below its [[mix.component]].'
    ),
    "day-unlikely/start": Phrase(
        f'booking: start = {{day}} is {{away}}. {_DAY_RIGHT}["start"]  below [booking]; {_SET}'
    ),
    "day-unlikely/finish-by": Phrase(
        f'booking: finish_by = {{day}} is {{away}}. {_DAY_RIGHT}["finish_by"]  below [booking]; {_SET}'
    ),
    "day-unlikely/days-off": Phrase(
        "booking: days_off has {days*, }, which {n_off|is|are} not within a year from start = {start}. If that is right, say so with the "
        'line  meant = ["days_off"]  below [booking].'
    ),
    "day-unlikely/tested": Phrase(
        f'mix {{mix}}, component {{species}}: tested = {{day}} is {{away}}. {_DAY_RIGHT}["tested"]  below its [[mix.component]].'
    ),
    "days-away/before": Phrase("{n_days} {n_days|day|days} before the day of planning, {today}"),
    "days-away/after": Phrase("{n_days} {n_days|day|days} after the day of planning, {today}"),
    "years-away/before": Phrase("{n_years:1} years before the day of planning, {today}"),
    "years-away/after": Phrase("{n_years:1} years after the day of planning, {today}"),
}

_SIZE = (
    "a no-till drill {drill_width_m:1} wide goes with {least_w} to {most_w} (source: {size_source}); it takes up about "
    "{takes_least_w} to {takes_most_w} of that (source: {takes_source})"
)
_TRACTOR: dict[str, Phrase] = {
    "tractor-fails": Phrase("The tractor fails on {check}: {why}."),
    "tractor-power/asked-not-said": Phrase("not said; the drill asks for {need_w}"),
    "tractor-power/asked-enough": Phrase("{have_w} is enough: the drill asks for {need_w}"),
    "tractor-power/asked-too-little": Phrase(
        "{have_w:1} is less than the {need_w:1} that the drill asks for"
    ),
    "tractor-power/not-said": Phrase(f"not said; {_SIZE}"),
    "tractor-power/enough": Phrase(f"{{have_w}} is enough: {_SIZE}"),
    "tractor-power/not-uphill": Phrase(
        f"{{have_w}} may pull it on flat firm ground and not uphill: {_SIZE}"
    ),
    "tractor-power/too-little": Phrase(f"{{have_w}} may be less than the drill itself takes up: {_SIZE}"),
    "tractor-hydraulics": Phrase("{n_remotes} {n_remotes|pair|pairs}; {need}"),
    "tractor-hydraulics/none": Phrase("no rear remotes; {need}"),
    "tractor-hydraulics/not-said": Phrase("not said; {need}"),
    "remotes-needed": Phrase("the drill asks for {n_least} {n_least|pair|pairs} of rear remotes"),
    "remotes-needed/none": Phrase("the drill asks for none"),
    "remotes-needed/usual": Phrase("drills are lifted by one pair of rear remotes, two hoses"),
    "tractor-hitch/not-said": Phrase("not said; {need}"),
    "tractor-hitch/usual-not-said": Phrase(
        "not said; a pin hitch on the drawbar, category 2 or less up to about {most_w}: match drawbar, pin and clevis"
    ),
    "tractor-hitch/other-kind": Phrase("a {have}: {need}"),
    "tractor-hitch/match-category": Phrase("a {have}: match its category with the drill's own"),
    "tractor-hitch/category-not-said": Phrase("a {have}, its category not said; {need}"),
    "tractor-hitch/same": Phrase("a {have}; {need}"),
    "tractor-hitch/small-pins": Phrase("a {have}; {need}: its pins are too small"),
    "tractor-hitch/large-pins": Phrase(
        "a {have}; {need}: bushings or another pin must take up the difference"
    ),
    "hitch-needed": Phrase("the drill asks for a {hitch}"),
    "hitch-needed/usual": Phrase(
        "drills are pulled by a pin on the drawbar, unless drill.hitch says otherwise"
    ),
    "tractor-ballast": Phrase(
        "by the tractor's manual for the drill's weight on it< ({weight_kg} in all)>; too little weight in front and steering goes light"
    ),
    "tractor-road/not-said": Phrase(
        "transport width not said; over {limit_typed_m} is a wide load in many places: measure gates and bridges too"
    ),
    "tractor-road/over": Phrase(
        "{transport_typed_m}, over {limit_typed_m}; state rules differ; measure gates and bridges"
    ),
    "tractor-road/within": Phrase(
        "{transport_typed_m}, within {limit_typed_m}; state rules differ; measure gates and bridges"
    ),
    "tractor-towing/over": Phrase("{towing_m_per_s}, over the {top_m_per_s} that a rental page allows"),
    "tractor-towing/within": Phrase("{towing_m_per_s}, within the {top_m_per_s} that a rental page allows"),
    "tractor-gate/wider": Phrase(
        "{field}: {gate_typed_m}, wider than the drill's {needed_typed_m}< of {of}>"
    ),
    "tractor-gate/not-wider": Phrase(
        "{field}: {gate_typed_m}, not wider than the drill's {needed_typed_m}< of {of}>"
    ),
    "gate-needed/working-width": Phrase("working width (transport width not said)"),
    "tractor-slope/steep": Phrase(
        "{field}: {slope_frac}, at or over the {limit_frac:1} (3:1) where drills slide"
    ),
    "tractor-slope/under": Phrase(
        "{field}: {slope_frac}, under the {limit_frac:1} (3:1) where drills slide"
    ),
}

_COST: dict[str, Phrase] = {
    "cost-rental": Phrase("{card}, {n_days} {n_days|day|days} booked"),
    "cost-rental/no-days": Phrase("{card}, no days to book"),
    "cost-seed": Phrase("{n_known} of {n_lots} {n_lots|lot|lots} {n_known|has|have} a price, whole bags"),
    "cost-fuel": Phrase(
        "{low_fuel_m3_per_m2..high_fuel_m3_per_m2} of diesel in the field (source: {source})"
    ),
    "cost-labour": Phrase("{work_s} of work, one person"),
    "cost-unknown/rental": Phrase("rental (rate_card)"),
    "cost-unknown/rental-days": Phrase("rental (there are no days to book)"),
    "cost-unknown/seed": Phrase("seed of {n_lots} {n_lots|lot|lots} (price)"),
    "cost-unknown/seed-currency": Phrase("seed of {n_lots} {n_lots|lot|lots} priced in another currency"),
    "cost-unknown/fuel": Phrase("fuel (fuel_price)"),
    "cost-unknown/labour": Phrase("labour (wage)"),
    "diesel": Phrase(
        "Diesel for the field work alone: {low_fuel_m3..high_fuel_m3} ({said}), a third more or less, and the road."
    ),
}

_FEE: dict[str, Phrase] = {
    "fee-rate": Phrase("{billed} × {rate}<, after {free} free>"),
    "fee-rate/whole-job": Phrase("{billed} × {rate}, the tier's rate for the whole job"),
    "fee-flat": Phrase("flat"),
    "fee-flat/tier": Phrase("{flat}< to {to}>"),
    "fee-tiers": Phrase("{parts* + }"),
    "fee-share": Phrase(
        "{share_signed_frac} of {of}<, for {up_to} of {acres}><, {n_times} × {n_days} days over>"
    ),
    "fee-least-quantity": Phrase("{how}, for the least of {least}"),
    "fee-least-charge": Phrase("the least charge<; else {how}>"),
    "fee-late": Phrase("{share_signed_frac} of what was unpaid after each {n_days} days: {times*, }"),
    "fee-late/time": Phrase("{n_times} × {unpaid}"),
    "fact-unknown": Phrase(
        'The rate card "{card}" does not ask for {name}', hint="it asks for: {asked*, }"
    ),
    "fact-unknown/none-asked": Phrase(
        'The rate card "{card}" does not ask for {name}', hint="it asks for: nothing"
    ),
    "fact-unknown/value": Phrase(
        'The rate card "{card}" knows no {name} "{value}"', hint="one of: {known*, }"
    ),
    "fact-not-said": Phrase(
        'The rate card "{card}" depends on {name}, which was not said',
        hint="--when {name}=… (or when in [cost]) with one of: {known*, }",
    ),
    "acres-not-said/map": Phrase(
        "The rate card bills map acres, which were not said", hint="--map-acres, or fields and a job file"
    ),
    "acres-not-said/meter": Phrase(
        "The rate card bills meter acres, which were not said",
        hint="--meter-acres, or fields and a job file",
    ),
    "acres-not-said/to-sow": Phrase(
        "The rate card bills to sow acres, which were not said",
        hint="--sown-acres, or fields and a job file",
    ),
    "quantity-not-said": Phrase(
        '"{name}" is charged by {called}, which were not said', hint="--{called} with how many"
    ),
}

PHRASES: dict[str, Phrase] = {**_HOURS, **_EFFICIENCY, **_BOOKING, **_WARNINGS, **_TRACTOR, **_COST, **_FEE}
