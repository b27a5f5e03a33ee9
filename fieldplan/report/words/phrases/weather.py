"""Sentences on daily weather records, the rules that tell fieldwork days in them, and the odds they give."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

_UNITS = (
    'say what it is in: units = "{units*" or "}" in a table [weather] (--record-units of fieldplan weather)'
)
_LAYOUTS = (
    "a daily record is GHCN-Daily (.dly, or a CSV as the archive exports them) or a CSV with columns such as "
    "date, rain_mm, tmax_c, tmin_c"
)

_FILES: dict[str, Phrase] = {
    "called/weather": Phrase("weather record"),
    "weather-empty": Phrase("has no days", hint=_LAYOUTS),
    "weather-no-rain": Phrase("has no rain on any day", hint="choose a station that measures rain"),
    "weather-too-long": Phrase("runs from {first} to {last}", hint="is one of these days wrong?"),
    "weather-day-twice": Phrase("has two values of {element} on {day}", hint="keep the right one"),
    "weather-column-twice": Phrase("has two columns for {element}", hint="keep one"),
    "weather-line": Phrase("{file}: line {line} cannot be read", hint="repair the line, or leave it out"),
    "weather-date": Phrase(
        "{file}: line {line} has <{given}, >no day in the form YYYY-MM-DD",
        hint="in other forms day and month can be exchanged: write 2019-04-07",
    ),
    "weather-stations": Phrase(
        "has several stations, such as {station} and {other}",
        hint='choose one: station = "{station}" in a table [weather] (--station of fieldplan weather)',
    ),
    "weather-no-station": Phrase("has no station {station}", hint="write the station as the file has it"),
    "weather-units": Phrase(
        "does not say what its rain and temperatures are in, as tables that were ordered can be in three ways",
        hint=_UNITS,
    ),
    "weather-units/column": Phrase(
        'has a column "{column}" without its unit',
        hint='name the unit in the header, such as rain_mm or "Tmax (F)", or ' + _UNITS,
    ),
    "weather-summary-of-day": Phrase(
        "is a global summary of the day, not GHCN-Daily: its rain is in inches with 99.99 for missing, and 0.00 may mean that nothing was reported",
        hint="get the daily record (GHCN-Daily) of the station",
    ),
    "weather-layout": Phrase("is no daily weather record in a layout that is known", hint=_LAYOUTS),
    "weather-unlikely": Phrase(
        "has values that cannot be right: {why}",
        hint="check the units; in the archive's own files rain is in tenths of a mm",
    ),
    "weather-rain/negative": Phrase("rain below zero"),
    "weather-rain/much": Phrase(
        "{most_rain_mm} of rain on one day, {mean_rain_mm} in the mean of all days: tenths taken for whole units?"
    ),
    "weather-rain/little": Phrase(
        "no more than {most_rain_mm} of rain on any day, {mean_rain_mm} in the mean: inches taken for mm?"
    ),
    "weather-air": Phrase("air of {low_c} to {high_c}"),
    "weather-crossed": Phrase(
        "too many days with the highest temperature below the lowest: are the columns exchanged?"
    ),
    "weather-no-temperatures": Phrase(
        "has no day with its highest and lowest temperature, which a water balance needs",
        hint="use a rule by rain, or a record with temperatures",
    ),
    "weather-no-latitude": Phrase(
        "does not give its latitude, which a water balance needs", hint="plan with fields"
    ),
    "weather-no-year": Phrase(
        "has no year with the {n_window} days that are asked for< from {start} on>",
        hint="<it has days from {first} to {last}: >use a record with more days, or other years",
    ),
    "no-weather-record": Phrase(
        "the job file names no weather record", hint='weather = "station.csv" in [booking]'
    ),
    "weather-some-drills": Phrase(
        "has a weather record for some drills and none for {drills*, }",
        hint='drills side by side get wet together: name one for all, weather = "station.csv" in [season]',
    ),
    "weather-table-alone": Phrase(
        "says how to read a weather record, and none is named", hint='weather = "station.csv" in [booking]'
    ),
}

_VALUES: dict[str, Phrase] = {
    "not-a-rule": Phrase(
        'is "{given}", which reads like no rule',
        hint='one of "{known*", "}", or your own: "{own}"',
    ),
    "not-a-rule/near": Phrase("is {given}, not a rule that is known", hint='did you mean "{near}"?'),
    "not-a-rule/rain": Phrase(
        'has "{given}", not an amount of rain', hint='write it with its unit: "{own}"'
    ),
    "not-a-forecast": Phrase(
        "is {given}, which reads like no forecast", hint='such as "{example}"; a day may be a date as well'
    ),
    "not-a-forecast/order": Phrase(
        "{given} does not end within a month from {begins} on", hint="name spells in their order"
    ),
    "not-years": Phrase("is {given}, not years from first to last", hint='such as "1991-2020"'),
    "not-a-drainage": Phrase(
        'is "{given}", not a drainage that figures are published for',
        hint='<did you mean "{near}"? >one of "{known*", "}"',
    ),
    "drainage-missing": Phrase(
        "is missing: a water balance depends on the soil", hint='drainage = "{known*" or "}"'
    ),
    "not-surveyed": Phrase(
        'is "{given}", for which no survey is in the table',
        hint='<did you mean "{near}"? >states: {known*, }',
    ),
    "state-unknown": Phrase(
        'is "{given}", for which no survey is in the table',
        hint='<did you mean "{near}"? >states: {known*, }; else give fieldwork_day_chance',
    ),
    "state-not-then": Phrase(
        '"{given}": no survey in the table is for {start}',
        hint="there are {known*; }; else give fieldwork_day_chance",
    ),
    "start-missing/weather": Phrase(
        "needs a start: odds are counted from that day of each year", hint="start = 2027-05-10"
    ),
    "start-missing/state": Phrase(
        "needs a start: fieldwork days differ from month to month", hint="start = 2027-05-10"
    ),
}

_ODDS: dict[str, Phrase] = {
    "persistence-of-survey": Phrase(
        "Wet days come in spells: persistence is taken as {persistence_frac}, with which days in spells vary as much as surveyed ones ({sources})."
    ),
    "survey-years": Phrase(
        "The weekly survey of {state} reports at least {n_needed} fieldwork {n_needed|day|days} in these {n_days} days in {n_met} of {n_years} years ({sources}); a state's average is steadier than a field."
    ),
    "state-without-figures": Phrase(
        "No survey and no sowing window in the tables is of {state}<; if it is a slip, did you mean {near}?>"
    ),
    "weather-typed": Phrase(
        "The odds stand on the {fit_day_prob:0} that was typed; published for {place} are {published_prob:0} ({sources})."
    ),
    "weather-state-beside": Phrase(
        "A survey of the state reports {published_prob:0} of days for {place} ({sources}); the record has {fit_day_prob:0} from the start on."
    ),
    "weather-years": Phrase(
        "The odds are counted over {n_years} {n_years|year|years} of {record}< (station {station})>, {first_year} to {last_year}: in each the job is run from the start on through "
        "the fieldwork days that year had.< {dropped}>< {unknown}>"
    ),
    "years-dropped": Phrase("Left out, as over {limit_frac} of their days are missing: {years*, }."),
    "days-unknown": Phrase(
        "{n_days} {n_days|day|days} that cannot be told count as no fieldwork {n_days|day|days}."
    ),
    "weather-treated": Phrase("Of the record, {parts*, }."),
    "treated/failed": Phrase("{n_days} {n_days|value|values} failed a check and {n_days|is|are} missing"),
    "treated/presumed": Phrase(
        "rain of {n_days} {n_days|day|days} was missing and presumed zero (missing here, unless presumed_zero says otherwise)"
    ),
    "treated/several": Phrase("{n_days} {n_days|day|days} are within a total of several days and missing"),
    "treated/traces": Phrase("{n_days} {n_days|trace|traces} of rain count as none"),
    "treated/crossed": Phrase(
        "{n_days} {n_days|day|days} had the highest temperature below the lowest: both are missing"
    ),
    "treated/morning": Phrase(
        'rain was read in the morning on {morning_frac} of days with a time, so it fell mostly the day before (rain_day = "day before" files it so)'
    ),
    "weather-rule/rain": Phrase(
        "A day is a fieldwork day with no more than {day_rain_mm} of rain< and {two_rain_mm} in two days>< and {three_rain_mm} in three days>< ({sources})>. Rules by rain alone count more days than surveys do."
    ),
    "weather-rule/own": Phrase(
        "A day is a fieldwork day by your own rule: no more than {day_rain_mm} of rain<, {waits*, }>."
    ),
    "weather-rule/soil": Phrase(
        "A day is a fieldwork day if a water balance of the plough layer on {drainage} soil leaves no excess water; evaporation is by Hargreaves from temperatures, "
        "which understates drying in autumn ({sources})."
    ),
    "rule-wait": Phrase("none on {n_days} {n_days|day|days} after over {after_rain_mm}"),
    "weather-level": Phrase(
        "How many days there are is set by a survey, which ones by the record: {place} reports {survey_days:1} of {n_window} days ({sources}); by the rule alone the record has {alone_days:1}, with "
        "{wait} it has {level_days:1}."
    ),
    "level-wait": Phrase("no work {waits* and }"),
    "level-wait/days": Phrase("for {n_days} {n_days|day|days} after over {after_rain_mm} of rain"),
    "level-wait/none": Phrase("no wait after rain"),
    "weather-level-missed": Phrase(
        "The survey of {place} reports {survey_days:1} of {n_window} fieldwork days, and no wait after rain brings the record there: it has {level_days:1} ({sources}). The odds are off by as much."
    ),
    "weather-reliability": Phrase(
        "Each year predicted from the others, by {rule}: odds lie {off_prob:1} from what came true; odds of 70 to 90 %, {stated_prob:0} in the mean, came true in {true_frac:0} "
        "({n_cases} cases).< {others}>"
    ),
    "reliability-others": Phrase("The other rules: {rules*, }."),
    "reliability-of": Phrase("{rule} {off_prob:1}"),
    "weather-methods": Phrase(
        "The same booking with as many fieldwork days: {years_prob} by counting years, {chain_prob} by a chain of two states, {independent_prob} by independent days. Real years have longer spells: the count stands."
    ),
    "weather-halves": Phrase(
        "Of the days looked at {early_frac} were fieldwork days in the first half of the years and {late_frac} in the second."
    ),
}

_SOIL_NEEDS = "{species} needs soil of {low_c..high_c} to germinate ({sources})"
_MET = "on {start} that is so in {n_met} of {n_years} {n_years|year|years}"
_SOWING: dict[str, Phrase] = {
    "sowing-window/soil": Phrase(
        f"Sowing window: {_SOIL_NEEDS}: by the soil of the record {_MET}.< In {{asked_prob:0}} of years the soil stays that warm from {{first}} on.> "
        "Measure it at seed depth in the morning; under residue it is colder."
    ),
    "sowing-window/air": Phrase(
        f"Sowing window: {_SOIL_NEEDS}. The record has air, not soil: {_MET} of the mean of seven days, no more than a hint.< In {{asked_prob:0}} of years the air is that warm from {{first}} on.> "
        "Measure the soil at seed depth in the morning."
    ),
    "sowing-window/cold": Phrase(
        "{species*, }: said to need a cold, moist time before germinating ({sources}; that list is coarse: it names kinds that do not). Sown on {start} it "
        "may come up a year later, unless the seed was treated so: ask the supplier.",
        short="{species*, }: may need a cold, moist time first; ask whether it was treated so.",
    ),
    "sowing-window/frost": Phrase(
        "Sowing window: {species} is sown {n_before} days before a killing frost, {frost_c} or colder ({sources}): with a start on {start} it has them in {n_met} of {n_years} {n_years|year|years}."
        "< In {asked_prob:0} of years the last day is {last}.>"
    ),
    "sowing-window/inside": Phrase(
        "Sowing window of {species} in {state}: {windows*, } ({sources}); the start on {start} is in it."
    ),
    "sowing-window/outside": Phrase(
        "The start on {start} is outside the sowing window of {species} in {state}: {windows*, } ({sources})."
    ),
    "sowing-time/seeding": Phrase("{first_month_day} to {last_month_day}"),
    "sowing-time/cover-crop": Phrase("as a cover crop {first_month_day} to {last_month_day}"),
    "sowing-time/dormant": Phrase("dormant {first_month_day} to {last_month_day}"),
    "sowing-time/frost": Phrase(
        "frost seeding, broadcast and not drilled, {first_month_day} to {last_month_day}"
    ),
}

PHRASES: dict[str, Phrase] = {**_FILES, **_VALUES, **_ODDS, **_SOWING}
