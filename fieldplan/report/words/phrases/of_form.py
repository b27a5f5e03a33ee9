"""Sentences for who fills in the form of the planning page, in the words of its labels, where others name keys of a job
file or options of a command.

A text or hint that is empty here is that of everybody.
"""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

_DID_YOU_MEAN = '<did you mean "{near}"? >'
_AGAIN = "copy or export it again"
_UNITS = "choose what it is in at “Units of the weather file”"
_HEIGHTS = "choose it at “Unit of the heights”"
_CHANCE = "else fill in “Days fit for fieldwork”"
_HEADLAND_NO = (
    "Give it the attribute headland with the word no in its file to have it crossed all the same."
)

_JOB: dict[str, Phrase] = {
    "box-not-said/table": Phrase(
        "is to be chosen: the species table does not say which it goes in", hint="choose one of the list"
    ),
    "carrier-to-what": Phrase(
        "", hint='such as "{carrier} to 2 bu/ac", or fill in “Meters at least and at most” of the box'
    ),
    "carrier-unknown": Phrase(
        "", hint=_DID_YOU_MEAN + 'weigh a bucket, then write such as "{carrier} at 9 lb/bu"'
    ),
    "coating-unsaid": Phrase(
        "{table}: the seed is coated, and “Coating” is empty. Coating is inert matter: make sure that “Pure seed” leaves it out."
    ),
    "form-missing": Phrase(
        "is to be filled in: the count of {species} differs {times_plain} times by it: {forms*; }",
        hint="fill in “Form of the seed” ({right* or }) as the tag names it, or “Seeds to a pound”",
    ),
    "form-unsaid": Phrase(
        "{table}: the form of the seed is not said, and its count differs {times_plain} times by it: {forms*; } ({sources}). "
        "Fill in “Form of the seed” as the tag names it."
    ),
    "species-like": Phrase(
        '{table}: unknown species. Did you mean "{near}"? As it stands, no published figures are known for it.'
    ),
    "species-like/taken": Phrase(
        '{table}: unknown species. Did you mean "{near}"? It is taken for that, with its published figures.'
    ),
    "species-unknown/seed-size": Phrase(
        "", hint="fill in “Seeds to a pound” from the tag or your seed supplier"
    ),
    "test-limit-source": Phrase("", hint="such as Iowa Code 199.8 (2025)"),
    "unlikely/value": Phrase(
        "{table}: {given}< {makes}>; {likely} is likely.< As it stands, {means}.> At its box in “The job” it can be confirmed."
    ),
    "hardly-possible": Phrase(
        "", hint="<Did you mean {slips* or }? >If it is right, confirm it at its box"
    ),
    "mix-empty": Phrase("", hint="add a seed lot"),
    "mix-unknown": Phrase("", hint=_DID_YOU_MEAN + "choose its mix in “Field by field”"),
    "mix-unknown/not-said": Phrase("", hint="choose its mix in “Field by field”"),
    "finish-before-start": Phrase(
        "{finish} lies before “First day”, {start}", hint="“First day” comes before “Done by”"
    ),
    "finish-before-start/no-start": Phrase("needs “First day” as well", hint="fill in “First day”"),
    "start-missing": Phrase("needs “First day” to know which days are off", hint="fill in “First day”"),
    "out-of-range/least": Phrase(
        "is not less than “Share that is filled”", hint="such as 10 % left where 90 % is filled"
    ),
    "out-of-range/pass-radius": Phrase(
        "“Tightest bend of a whole pass” must not be less than “Tightest turn while sowing” or “Tightest turn, drill lifted”, {radius_m:1}"
    ),
    "out-of-range/sowing-radius": Phrase(
        "“Tightest turn while sowing” must not be less than “Tightest turn, drill lifted”, {radius_m:1}"
    ),
    "out-of-range/width": Phrase(
        "the openers at that distance, less “Wanted overlap of passes”, give a drill {width_m} wide"
    ),
    "tag-parts": Phrase(
        "“Pure seed”, “Other crop seed”, “Inert matter” and “Weed seed” add to {given_frac:2}, not to 100 %"
    ),
    "use-no-file": Phrase("", hint="the name of a file that lies beside the job"),
    "elevation-unit": Phrase("", hint=_HEIGHTS),
    "elevation-unit/unsaid": Phrase("", hint=_HEIGHTS),
    "elevation-steep": Phrase("", hint="give another file, or the unit at “Unit of the heights”"),
}
_SEED: dict[str, Phrase] = {
    "least-level/assumed": Phrase("assumed, as none is filled in"),
    "least-level/given": Phrase("as filled in"),
    "metering-unknown": Phrase(
        "“Meters at least and at most” of the {boxes* and } box is empty, so nobody checked that it can meter mix “{mix}”."
    ),
    "overage-raised": Phrase(
        "The {box} box keeps its least level ({least_level}): {stays_kg} of residual seed is left in it, {more_kg} beyond the "
        "overage asked for; {bags}<, {cost}>. You get it back when you empty the box. If you sweep the last seed to the "
        "meters, say so at “Last seed is swept to the meters”."
    ),
    "scale-coarse": Phrase(
        "A scale with steps of {scale_kg} is too coarse for some portions of {species*, }: half a step is over 5 % of them. "
        "Use a finer one, and put its step into “Smallest step of the scale”."
    ),
    "sow-order": Phrase(
        "Fields are sown in the order {order}: {n_best} {n_best|box is|boxes are} emptied and {n_best_reset} set again; in the "
        "order of the map, {n_given} and {n_given_reset}. That saves {saved_s}. To keep the order of the map, choose it at "
        "“Order of fields”; what is drilled as number 1, 2 … is always kept."
    ),
    "sow-order/kept": Phrase(
        "The order of the map is kept: {n_given} {n_given|box is|boxes are} emptied and {n_given_reset} set again. In the "
        "order {order} it would be {n_best} and {n_best_reset}, and {saved_s} less. For that, choose fewest changes at “Order of fields”."
    ),
    "step-lands/unknown": Phrase(
        "{box} box: find out where its seed falls, in the furrow or on the surface; it is not filled in"
    ),
    "dormant-unsaid/dormant": Phrase(
        'Mix "{mix}": {lots*, }: such seed is often dormant, and laboratories must say how much ({sources}). “Dormant seed” is '
        "empty: none is counted. Fill it in from the tag; 0 if it says none."
    ),
    "dormant-unsaid/hard": Phrase(
        'Mix "{mix}": {lots*, }: such seed is often hard ({sources}), and “Hard seed” is empty. Fill it in from the tag; 0 if it says none.'
    ),
    "seed-placement/surface-unknown": Phrase(
        'Mix "{mix}": {species*, } in the {box} box belongs on the surface ({sources}). Where the seed of that box falls is not '
        "said: fill in “Where its seed ends up”."
    ),
    "tag-unsaid": Phrase(
        'Mix "{mix}": lines of the tags that are not filled in: {lines*; }. Read them on the tag: nothing here replaces the label '
        "or the law of the place."
    ),
    "test-limit-unknown": Phrase(
        'Mix "{mix}": no number of months was found for {state}<: {remark}>< ({sources})>. Ask its seed control office, or fill '
        "in “Own limit of a test's age, months”."
    ),
    "test-old": Phrase(
        'Mix "{mix}": tested more than {n_most_months} months before {on}: {lots}. Seed shipped across state lines needs a test '
        "within {n_most_months} months ({sources}); the limits of states are {n_low_months} to {n_high_months} months: fill in "
        "“State where seed is sold” for its own. All are limits on sale: seed that you have may be sown. Germination falls with "
        "age: ask for a newer test."
    ),
    "test-old/limit": Phrase(
        'Mix "{mix}": tested more than {n_most_months} months before {on}, your own limit ({remark}): {lots}. The limit is on '
        "sale, not on sowing. Germination falls with age: ask for a newer test."
    ),
    "tz-undated": Phrase(
        'Mix "{mix}": no date is given for the tetrazolium test of {lots*, }. Fill in “Date of the TZ test”.'
    ),
}
_WORK: dict[str, Phrase] = {
    "fit-days-independent": Phrase(
        "The odds treat each day as independent of the day before. Wet days come in spells, so the real odds are somewhat "
        "lower. Fill in “Wet days follow wet days” to count spells."
    ),
    "bags-doubt/many": Phrase("That is many bags for this ground: are “Rate” and “One bag holds” right?"),
    "bags-doubt/dear": Phrase("They cost {cost}: is “Price” right?"),
    "day-unlikely/start": Phrase("“First day”, {day}, is {away}. Is it right?"),
    "day-unlikely/finish-by": Phrase("“Done by”, {day}, is {away}. Is it right?"),
    "day-unlikely/days-off": Phrase(
        "“Days off” has {days*, }, not within a year from {start}. Is the year right?"
    ),
    "day-unlikely/tested": Phrase("Mix {mix}, {species}: “Date of test”, {day}, is {away}. Is it right?"),
    "hitch-needed/usual": Phrase(
        "drills are pulled by a drawbar pin, unless “Hitch” of the drill says otherwise"
    ),
    "straight-across": Phrase(
        "Straight passes at {heading_deg:1} keep to what rows on the contour may rise or fall: {field_s} in the field, "
        "{extra_s} more than the quickest way. “How passes run” with contour drives them."
    ),
    "straight-across/beside": Phrase(
        "Straight passes at {heading_deg:1} keep to what rows on the contour may rise or fall: {field_s} in the field, "
        "{extra_s} more than the quickest way; passes along the contour take {contour_s}. To have them straight: straight at "
        "“How passes run”, and that heading."
    ),
    "cost-unknown/rental": Phrase("rental (“File of the lender's rates”)"),
    "cost-unknown/fuel": Phrase("fuel (“Fuel”)"),
    "fact-not-said": Phrase("", hint="say it at “Conditions of the rates”: {name} = one of {known*, }"),
}
_GROUND: dict[str, Phrase] = {
    "crossed-lifted/around": Phrase(
        "Headland rounds are laid along {reason}: passes on across it, with the drill raised, would take {longer_s} longer< and "
        f"sow {{sown_m2}} of it>. {_HEADLAND_NO}"
    ),
    "crossed-lifted/around-sown": Phrase(
        "Headland rounds are laid along {reason}: passes on across it, with the drill raised, would save {longer_s} but sow "
        f"{{sown_m2}} of it. {_HEADLAND_NO}"
    ),
    "crossed-lifted/much-sown": Phrase(
        "{sown_m2} of {reason} are sown, since passes meet it so obliquely or run along it. The attribute headland with the "
        "word yes in its file gives headland rounds along it instead. {n_passes} {n_passes|pass goes|passes go} on across it "
        "with the drill raised, {lifted_m:0} in all with headland rounds."
    ),
    "field-scattered": Phrase(
        "",
        hint="split it into several fields, or fill in a larger area at “Sow straight over holes smaller than”",
    ),
    "field-scattered/undriven": Phrase(
        "The ground has {n_parts} {n_parts|part|parts} and {n_holes} {n_holes|hole|holes} to go around; a route can be planned "
        "over at most {n_most_parts} parts and {n_most_holes} holes. Nothing is drilled there and all of its ground "
        "({missed_m2}) is missed. Split it into several fields, or fill in a larger area at “Sow straight over holes smaller than”."
    ),
    "gate-astray": Phrase(
        "its “Gate” as filled in lies {away_m} from the field and is ignored: the field is planned as if none were given. Give "
        "latitude and longitude of a place beside the field."
    ),
    "seed-astray": Phrase(
        "its “Place of the seed” as filled in lies {away_m} from the field and is ignored: the field is planned as if none were "
        "given. Give latitude and longitude of a place beside the field."
    ),
    "search-quick": Phrase(
        "Few routes were compared (quick at “Search for the route”): the usual search finds shorter ones, above all on narrow fields."
    ),
    "outline-jagged/steps": Phrase(
        "The outline is drawn in steps, so it knows the edge to {outside_m:2} at best. A straighter line up to {away_m:2} from "
        "it, and no more than {outside_m:2} outside, is driven. Where a fence or a ditch is the edge, say so (fenced at “Outer "
        "edge” of the field), and the line lies inside. Acres and ground covered are measured on the outline."
    ),
    "guide-missing": Phrase(
        "No guide line runs over the field, so passes are laid out as is best. Draw one on the map."
    ),
    "heights-missing": Phrase(
        "Passes across the slope need heights, so they are laid out as is best. Give a GeoTIFF at “File of heights”."
    ),
    "id-twice": Phrase('Another field has the id "{given}" too, so this one is called "{unique}".'),
    "exclusion-no-width": Phrase("", hint="fill in its “Distance to keep from it”, such as 30 ft"),
    "fields-overlap": Phrase(
        "", hint="draw one of them anew, or leave shared ground to the field that comes first"
    ),
    "fields-overlap/inside": Phrase(
        "",
        hint="if the inner one is not planted, draw it as an area not planted; else leave shared ground to the field that comes first",
    ),
    "fields-overlap/same": Phrase("", hint="delete one of them"),
    "outline-invalid": Phrase("", hint="draw it again, because only you know which ground was meant"),
    "outline-tangled": Phrase("", hint="draw it again"),
    "geometry-unreadable": Phrase("", hint=_AGAIN),
    "too-many-parts": Phrase("", hint="split it into several fields"),
}
_WEATHER: dict[str, Phrase] = {
    "weather-stations": Phrase("", hint="choose one at “Station to take”, such as {station}"),
    "weather-units": Phrase("", hint=_UNITS),
    "weather-units/column": Phrase("", hint=f"name the unit in the header, such as Tmax (F), or {_UNITS}"),
    "weather-table-alone": Phrase("", hint="choose the “File of daily weather”"),
    "drainage-missing": Phrase("", hint="“Drainage of the soil”: {known* or }"),
    "state-unknown": Phrase("", hint=_DID_YOU_MEAN + "states: {known*, }; " + _CHANCE),
    "state-not-then": Phrase("", hint="there are {known*; }; " + _CHANCE),
    "start-missing/weather": Phrase(
        "needs “First day”: odds are counted from that day of each year", hint="fill in “First day”"
    ),
    "start-missing/state": Phrase("", hint="fill in “First day”"),
    "treated/presumed": Phrase(
        "rain of {n_days} {n_days|day|days} was missing and presumed zero (missing here, unless the boxes below the file say otherwise)"
    ),
    "treated/morning": Phrase(
        "rain was read in the morning on {morning_frac} of days with a time, so it fell mostly the day before (“Rain is filed "
        "under” with day before files it so)"
    ),
}
PHRASES: dict[str, Phrase] = _JOB | _SEED | _WORK | _GROUND | _WEATHER
