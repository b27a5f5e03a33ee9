"""Sentences on hours, bookings, tractors, costs and fees."""

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
    "time-part/changing": Phrase("box changes"),
    "time-part/moving": Phrase("moves between fields"),
    "time-part/clean_out": Phrase("clean-out and return"),
    "leg/headland": Phrase("headland, sowing"),
    "leg/pass": Phrase("pass, sowing"),
    "leg/turn": Phrase("turn"),
    "leg/transfer": Phrase("driving lifted"),
    "leg/raised": Phrase("drill raised, going on beyond"),
    "leg/refill": Phrase("refill"),
    "leg/check": Phrase("tube check"),
    "leg/break": Phrase("break"),
    "leg-shape/U": Phrase("U"),
    "leg-shape/bulb": Phrase("bulb"),
    "leg-shape/loop": Phrase("loop"),
    "leg-shape/corner": Phrase("corner"),
    "leg-shape/backing": Phrase("{reverse_m} of it backing"),
    "leg-shape/headland run": Phrase("along the headland"),
    "leg-shape/tight": Phrase("tighter than the rig turns"),
    "leg-shape/outside": Phrase("does not fit inside the edge"),
    "acres-flat": Phrase(
        "Areas are measured on the map: slope and height are left out (a 5 % slope has 0.125 % more ground)."
    ),
    "handbook-efficiency": Phrase(
        "Hours by the handbook use a field efficiency of {low_frac..high_frac} for seeding ({sources})."
    ),
    "clock-leaves-out": Phrase(
        "The clock counts {held*, } and {held_last}. It does not count {on_top*, } or breakdowns."
        "< No field takes long enough for a break ({every_s} of work), so none is counted.>"
    ),
    "driving": Phrase("driving"),
    "plugged-tubes": Phrase("plugged tubes"),
    "time-spent": Phrase("{spent_s} of {part}"),
    "seed-stand-each-part": Phrase(
        "The drill cannot reach all parts of the field without leaving it: seed is brought to {n_stands} places, one "
        "for each part, and what it takes to move it there is not counted.",
        short="Bring seed to {n_stands} places, one for each part: the drill cannot reach all without leaving the field.",
    ),
    "seed-second-stand": Phrase(
        "One more stand of seed at {stand} would save {saved_s} of driving and stops: {n_stops} "
        "{n_stops|fill|fills} would be taken from there. Setting it up is not counted.",
        short="One more stand of seed< at {stand}> would save {saved_s}: {n_stops} {n_stops|fill|fills} from there.",
    ),
    "box-empties-in-pass": Phrase(
        "{n_stretches} {n_stretches|pass or headland segment takes|passes or headland segments take} more seed than a box holds: "
        "the drill must stop and fill in the middle of {n_stretches|it|them}."
    ),
}

_ABOVE = ", above the usual {low_frac} to {high_frac}: passes are long and stops few; {left_out} are not on the clock."
_BELOW = ", below the usual {low_frac} to {high_frac}: {part_frac} of the time goes into {part} in a field this small or odd in shape."
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
        "The odds treat each day as independent of the day before. Wet days come in spells, so the real odds are somewhat lower. "
        "Set persistence in [booking] to count spells.",
        short="Wet days come in spells: real odds are somewhat lower (persistence).",
    ),
    "nothing-drilled": Phrase(
        "No field of this job has ground to drill: there is no seed to order and there are no days to book."
    ),
    "booking-none": Phrase(
        "No booking of up to {n_most} days reaches the wanted {asked_prob} odds: {job_s} of work need {n_fit_days} fieldwork "
        "{n_fit_days|day|days}, and {best}. {cure}"
    ),
    "most-days-hold": Phrase("the odds of being done within {n_most} days are {best_prob}"),
    "most-days-cannot-hold": Phrase("{n_most} days do not have that many"),
    "finish-by-missed": Phrase(
        "The job cannot be done by {finish_by} with {asked_prob} odds: with a start on {start} the odds are only {by_then_prob:1}. {cure}"
    ),
    "would-do": Phrase("What would help: {cures*, or }."),
    "would-do/nothing": Phrase(
        "No single change helps: tried were longer working days, up to {n_drills} drills side by side, fewer fields and lower odds."
    ),
    "cure-earlier-start": Phrase("a start by {start}"),
    "cure-longer-days": Phrase("working days of {day_s:0}< ({n_days} {n_days|day|days} to book)>"),
    "cure-more-drills": Phrase("{n_drills} drills side by side< ({n_days} {n_days|day|days} to book)>"),
    "cure-later-end": Phrase("an end by {finish}"),
    "cure-lower-odds": Phrase("odds of {asked_prob:0}< ({n_days} {n_days|day|days} to book)>"),
    "cure-fewer-fields": Phrase(
        "fewer fields (the {n_fields} {n_fields|quickest field needs|quickest fields need} {n_days} {n_days|day|days})"
    ),
    "nothing-done": Phrase(
        "No ground or no hours yet, so the pace is not known",
        hint="use the plan itself until some ground is drilled",
    ),
    "metered-too-much": Phrase(
        "The meter shows more ground, by over a tenth, than the whole plan drills",
        hint="check the reading and the fields",
    ),
    "metered-too-little": Phrase(
        "The meter shows less ground, by over a tenth, than the plan drills on the fields done",
        hint="check the reading and the fields named with --done",
    ),
    "left-too-much": Phrase(
        "More {species} is left than was ordered", hint="give the seed left in bags and boxes together"
    ),
}

_DAY_RIGHT = "If that is right, add the line  meant = "
_SET = "--today sets the day of planning."
_WARNINGS: dict[str, Phrase] = {
    "bags-many": Phrase(
        "The order has {n_bags} {n_bags|bag|bags} of {seed}< ({lot})>, {ordered_kg} for {sown_m2}.< {many}>< {dear}>"
    ),
    "bags-doubt/many": Phrase(
        "That is many bags for this ground: are rate and bag right? If so, add the line  "
        'meant = ["bag"]  below its [[mix.component]].'
    ),
    "bags-doubt/dear": Phrase(
        'They cost {cost}: is the price right? If so, add the line  meant = ["price"]  below its [[mix.component]].'
    ),
    "day-unlikely/start": Phrase(
        f'booking: start = {{day}} is {{away}}. {_DAY_RIGHT}["start"]  below [booking]; {_SET}'
    ),
    "day-unlikely/finish-by": Phrase(
        f'booking: finish_by = {{day}} is {{away}}. {_DAY_RIGHT}["finish_by"]  below [booking]; {_SET}'
    ),
    "day-unlikely/days-off": Phrase(
        "booking: days_off has {days*, }, not within a year from start = {start}. If that is right, add the line  "
        'meant = ["days_off"]  below [booking].'
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
    "a no-till drill {drill_width_m:1} wide goes with a tractor of {least_w} to {most_w} PTO power (source: {size_source}) and itself "
    "takes about {takes_least_w} to {takes_most_w} (source: {takes_source})"
)
_TRACTOR: dict[str, Phrase] = {
    "tractor-fails": Phrase("The tractor fails the check of {check}: {why}."),
    "tractor-power/asked-not-said": Phrase("PTO power not given; the drill needs {need_w}"),
    "tractor-power/asked-enough": Phrase(
        "PTO power {have_w} is enough: the drill needs {need_w}",
        short="{have_w} PTO, and the drill needs {need_w}",
    ),
    "tractor-power/asked-too-little": Phrase(
        "PTO power {have_w:1} is less than the {need_w:1} that the drill needs"
    ),
    "tractor-power/not-said": Phrase(
        f"PTO power not given; {_SIZE}",
        short="a drill {drill_width_m:1} wide goes with {least_w..most_w} PTO power",
    ),
    "tractor-power/enough": Phrase(
        f"PTO power {{have_w}} is enough: {_SIZE}",
        short="{have_w} PTO ({least_w..most_w} go with this width)",
    ),
    "tractor-power/not-uphill": Phrase(
        f"PTO power {{have_w}} may pull it on flat, firm ground but not uphill: {_SIZE}",
        short="{have_w} PTO, under the {least_w..most_w} that go with a drill this wide: not uphill",
    ),
    "tractor-power/too-little": Phrase(
        f"PTO power {{have_w}} may be less than the drill itself takes: {_SIZE}"
    ),
    "tractor-hydraulics": Phrase(
        "{n_remotes} {n_remotes|pair|pairs}; {need}",
        short="{n_remotes} {n_remotes|pair|pairs} of remotes",
    ),
    "tractor-hydraulics/none": Phrase("no rear remotes; {need}"),
    "tractor-hydraulics/not-said": Phrase(
        "rear remotes not given; {need}",
        short="rear remotes: {need}",
    ),
    "remotes-needed": Phrase("the drill needs {n_least} {n_least|pair|pairs} of rear remotes"),
    "remotes-needed/none": Phrase("the drill needs none"),
    "remotes-needed/usual": Phrase(
        "most drills need one pair of rear remotes, two hoses, to lift",
        short="most drills need one pair",
    ),
    "tractor-hitch/not-said": Phrase("hitch not given; {need}"),
    "tractor-hitch/usual-not-said": Phrase(
        "hitch not given; most drills take a drawbar pin, category 2 or less up to about {most_w}: match drawbar, pin and clevis",
        short="hitch: most drills take a drawbar pin of category 2 or less",
    ),
    "tractor-hitch/other-kind": Phrase("a {have}: {need}"),
    "tractor-hitch/match-category": Phrase(
        "a {have}: match its category with that of the drill",
        short="a {have} (match that of the drill)",
    ),
    "tractor-hitch/category-not-said": Phrase("a {have}, category not given; {need}"),
    "tractor-hitch/same": Phrase("a {have}; {need}"),
    "tractor-hitch/small-pins": Phrase("a {have}; {need}: its pins are too small"),
    "tractor-hitch/large-pins": Phrase("a {have}; {need}: use bushings or another pin"),
    "hitch-needed": Phrase("the drill needs a {hitch}"),
    "hitch-needed/usual": Phrase(
        "drills are pulled by a drawbar pin, unless hitch in [drill] says otherwise"
    ),
    "tractor-ballast": Phrase(
        "follow the tractor's manual for the weight of the drill< ({weight_kg})>; with too little weight in front, steering goes light",
        short="as the tractor's manual says< for {weight_kg}>, or steering goes light",
    ),
    "tractor-road/not-said": Phrase(
        "transport width not given; over {limit_typed_m} is a wide load in many places: measure gates and bridges too",
        short="measure it, gates, bridges; over {limit_typed_m} is often a wide load",
    ),
    "tractor-road/over": Phrase(
        "{transport_typed_m}, over {limit_typed_m}; state rules differ; measure gates and bridges"
    ),
    "tractor-road/within": Phrase(
        "{transport_typed_m}, within {limit_typed_m}; state rules differ; measure gates and bridges"
    ),
    "tractor-towing/over": Phrase("{towing_m_per_s}, over the {top_m_per_s} that rental programs allow"),
    "tractor-towing/within": Phrase(
        "{towing_m_per_s}, within the {top_m_per_s} that rental programs allow"
    ),
    "tractor-gate/wider": Phrase(
        "{field}: {gate_typed_m}, wider than the drill's {needed_typed_m}< of {of}>"
    ),
    "tractor-gate/not-wider": Phrase(
        "{field}: {gate_typed_m}, not wider than the drill's {needed_typed_m}< of {of}>"
    ),
    "gate-needed/working-width": Phrase("working width (transport width not given)"),
    "slope": Phrase(
        "Slope: half of the ground is flatter than {median_frac:1}, nine tenths than {p90_frac:1}; {over_first_frac} of it "
        "is steeper than {first_frac}, {over_second_frac} than {second_frac}, {over_third_frac} than {third_frac}. Its "
        "surface is {surface_frac:2} ({more_m2:2}) larger than on the map, and a drill set by the ground it covers sows "
        "as much more. Heights: {file}.",
        short="Slope: half of the ground is under {median_frac:1}, nine tenths under {p90_frac:1}.",
    ),
    "slope/part": Phrase(
        "Slope of the {known_frac} of the ground with known heights: half of it is flatter than {median_frac:1}, nine "
        "tenths than {p90_frac:1}; {over_first_frac} is steeper than {first_frac}, {over_second_frac} than "
        "{second_frac}, {over_third_frac} than {third_frac}. Heights: {file}.",
        short="Slope where heights are known: half under {median_frac:1}, nine tenths under {p90_frac:1}.",
    ),
    "hill-speed": Phrase(
        "Ground of {slope_frac} and more is sown at {speed_m_per_s}, which takes {extra_s} longer."
    ),
    "heights-elsewhere": Phrase(
        "{file} has no heights here, so nothing is said of slope. Check that it covers the field."
    ),
    "grade-power": Phrase(
        "The steepest stretch of a pass rises {grade_frac:1}: there each {weight_kg} of tractor, drill and seed asks "
        "{power_w} more at the drawbar ({sources}).",
        short="Steepest stretch of a pass: {grade_frac:1}; each {weight_kg} asks {power_w} more there.",
    ),
    "grade-power/weighed": Phrase(
        "The steepest stretch of a pass rises {grade_frac:1}: there tractor and drill, {weight_kg}, ask {power_w} more at "
        "the drawbar, and seed in the boxes adds to that ({sources}).",
        short="Steepest stretch of a pass: {grade_frac:1}; tractor and drill ask {power_w} more there.",
    ),
    "side-slope": Phrase(
        "Passes run across ground of up to {across_frac}: tractor and drill lean as much, and the drill may slide "
        "downhill. Keep to the maker's manuals for side slopes and to local advice; go slowly, keep loads low, never turn "
        "uphill sharply, and stay off what you doubt."
    ),
    "row-grade": Phrase(
        "{over_m:0} of the passes ({over_frac}) rise or fall more than rows on the contour may, over stretches of "
        "{chord_m:0} ({sources}). That limit is for rows: no erosion is reckoned here.",
        short="{over_m:0} of the passes ({over_frac}) rise or fall more than rows on the contour may.",
    ),
    "row-grade/kept": Phrase(
        "All passes keep to what rows on the contour may rise or fall, over stretches of {chord_m:0} ({sources}). No erosion "
        "is reckoned here.",
        short="All passes keep to what rows on the contour may rise or fall.",
    ),
    "row-pools": Phrase(
        "{n_passes} {n_passes|pass has its|passes have their} lowest place inside the field, away from a waterway: water "
        "may gather or break through there. Passes {passes*, }< and {n_more} more>.",
        short="{n_passes} {n_passes|pass has its|passes have their} lowest place inside the field, away from a waterway.",
    ),
    "straight-across": Phrase(
        "Straight passes at {heading_deg:1} keep to what rows on the contour may rise or fall: {field_s} in the field, {extra_s} "
        'more than the quickest way. pattern = "contour" drives them.',
        short="Straight passes at {heading_deg:1} keep to the limit of grade: {extra_s} more than the quickest way.",
    ),
    "straight-across/beside": Phrase(
        "Straight passes at {heading_deg:1} keep to what rows on the contour may rise or fall: {field_s} in the field, {extra_s} "
        "more than the quickest way; passes along the contour take {contour_s}. To have them straight: pattern = "
        '"straight" and that heading.',
        short="Straight passes at {heading_deg:1} keep to the limit of grade: {extra_s} more than the quickest way.",
    ),
    "tractor-slope/steep": Phrase(
        "{field}: {slope_frac}, at or over the {limit_frac:1} (3:1) where drills slide"
    ),
    "tractor-slope/under": Phrase(
        "{field}: {slope_frac}, under the {limit_frac:1} (3:1) where drills slide"
    ),
}

_COST: dict[str, Phrase] = {
    "cost-rental": Phrase("{card}, {n_days} {n_days|day|days} booked"),
    "cost-rental/no-days": Phrase("{card}, no days booked"),
    "cost-seed": Phrase("{n_known} of {n_lots} {n_lots|lot|lots} {n_known|has|have} a price; whole bags"),
    "cost-fuel": Phrase(
        "{low_fuel_m3_per_m2..high_fuel_m3_per_m2} of diesel in the field (source: {source})"
    ),
    "cost-labour": Phrase("{work_s} of work by one person"),
    "cost-unknown/rental": Phrase("rental (rate_card)"),
    "cost-unknown/rental-days": Phrase("rental (no days to book)"),
    "cost-unknown/seed": Phrase("seed of {n_lots} {n_lots|lot|lots} (price)"),
    "cost-unknown/seed-currency": Phrase("seed of {n_lots} {n_lots|lot|lots} priced in another currency"),
    "cost-unknown/fuel": Phrase("fuel (fuel_price)"),
    "cost-unknown/labour": Phrase("labor (wage)"),
    "diesel-short": Phrase("Diesel: {low_fuel_m3..high_fuel_m3}."),
    "diesel": Phrase(
        "Diesel for the fieldwork: {low_fuel_m3..high_fuel_m3} ({said}), give or take a third; road travel comes on top."
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
    "fee-least-quantity": Phrase("{how}, the minimum of {least}"),
    "fee-least-charge": Phrase("minimum charge<, instead of {how}>"),
    "fee-late": Phrase("{share_signed_frac} of the unpaid sum after each {n_days} days: {times*, }"),
    "fee-late/time": Phrase("{n_times} × {unpaid}"),
    "fact-unknown": Phrase(
        'The rate card "{card}" does not ask for {name}', hint="it asks for: {asked*, }"
    ),
    "fact-unknown/none-asked": Phrase(
        'The rate card "{card}" does not ask for {name}', hint="leave it out: the card asks for nothing"
    ),
    "fact-unknown/value": Phrase(
        'The rate card "{card}" has no {name} "{value}"', hint="use one of: {known*, }"
    ),
    "fact-not-said": Phrase(
        'The rate card "{card}" depends on {name}, and it is not given',
        hint="give --when {name}=… (or when in [cost]) with one of: {known*, }",
    ),
    "acres-not-said/map": Phrase(
        "The rate card bills map acres, and they are not given",
        hint="give --map-acres, or fields and a job file",
    ),
    "acres-not-said/meter": Phrase(
        "The rate card bills acres on the meter, and they are not given",
        hint="give --meter-acres, or fields and a job file",
    ),
    "acres-not-said/to-sow": Phrase(
        "The rate card bills plantable acres, and they are not given",
        hint="give --sown-acres, or fields and a job file",
    ),
    "quantity-not-said": Phrase(
        '"{name}" is charged by {called}, and they are not given', hint="give --{called} with how many"
    ),
}

PHRASES: dict[str, Phrase] = {**_HOURS, **_EFFICIENCY, **_BOOKING, **_WARNINGS, **_TRACTOR, **_COST, **_FEE}
