"""What is said of mixes, tags, boxes and calibration, and the steps of a set-up card that depend on
them.
"""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

_CATCH = (
    "{{box}} box: catch {{row_catch_kg_per_m}} a row, {{drill_catch_kg_per_m}} from all {{n_rows}}, over {way}"
    "< or {{wheel_catch_per_m}} turns of the drive wheel without slip>; three times, then set again (fieldplan calibrate)"
)
_SET = "{box} box: {load_kg_per_m2}"
PHRASES: dict[str, Phrase] = {
    "field-unknown/in-job": Phrase(
        "names no field of {boundary}", hint='<did you mean "{near}"? >fields there: {known}'
    ),
    "mix-unknown": Phrase(
        'asks for mix "{mix}"; {job} has "{known*", "}"',
        hint='<did you mean "{near}"? >add [field.{field}] mix = "…" to the job file, or an attribute mix to the field',
    ),
    "mix-unknown/not-said": Phrase(
        'does not say which mix it gets; {job} has "{known*", "}"',
        hint='<{like* } >add [field.{field}] mix = "…" to the job file, or an attribute mix to the field',
    ),
    "bags-more": Phrase("{n_bags} {n_bags|bag|bags} more to buy"),
    "bags-more/none": Phrase("no bag more to buy"),
    "chart-order": Phrase(
        "the rates of the chart do not rise with its settings", hint="check the lines as typed"
    ),
    "chart-outside/rate": Phrase(
        "the rate lies outside the rate chart in this gear range",
        hint="another gear range, or more lines of the chart",
    ),
    "chart-outside/setting": Phrase(
        "the setting lies outside the rate chart", hint="another gear range, or more lines of the chart"
    ),
    "chart-range": Phrase(
        'the rate chart has "{seed}" in several gear ranges: {ranges}', hint="one of: {ranges}"
    ),
    "chart-seed": Phrase('the rate chart has no line for "{seed}"', hint="it has: {known}"),
    "chart-thin": Phrase(
        'the rate chart has fewer than two settings for "{seed}"< in range "{gear_range}">',
        hint="ranges there: {ranges}",
    ),
    "full-stand": Phrase("{species} {full_seeds_per_m2}"),
    "least-level/assumed": Phrase("nobody gave it"),
    "least-level/given": Phrase("as the job file gives it"),
    "metering-out-of-range/over": Phrase(
        'Mix "{mix}" asks the {box} box for {asked_m3_per_m2} ({asked_kg_per_m2}), over its metering range, from '
        "{low_m3_per_m2..high_m3_per_m2}."
    ),
    "metering-out-of-range/under": Phrase(
        'Mix "{mix}" asks the {box} box for {asked_m3_per_m2} ({asked_kg_per_m2}), under its metering range, from '
        "{low_m3_per_m2..high_m3_per_m2}; a carrier would lift it."
    ),
    "metering-unknown": Phrase(
        "The job file gives no metering range for the {boxes* and } box: whether it can meter as little or as much by "
        'volume as mix "{mix}" asks for is not checked.'
    ),
    "months-since-test": Phrase("{lot} {n_months} months"),
    "native-box": Phrase(
        "Native seed bridges over the meters: dust it with graphite as the drill's manual says, fill that box to about half so "
        "that the agitators stay free, and engage its own drive ({sources})."
    ),
    "native-speed": Phrase(
        "Native seed is sown at {low_m_per_s..high_m_per_s} ({sources}); this plan drives {field_m_per_s}."
    ),
    "overage-raised": Phrase(
        "The {box} box keeps its least level ({least_level}; sweep = true in [[drill.box]] says that the last bit is swept out): "
        "{stays_kg} of seed stays in it, {more_kg} beyond the overage asked for; {bags}<, {cost}>. It comes out again when the box "
        "is emptied."
    ),
    "seed-treated": Phrase(
        'Mix "{mix}" holds treated seed ({species}): read the label, wear what it asks for, keep dust down, never use it '
        "for food, feed or oil ({sources}); clean the boxes before untreated seed goes in."
    ),
    "step-boxes-idle": Phrase("not used: {boxes}; drive off, shut and empty"),
    "step-catch": Phrase(_CATCH.format(way="100 ft"), metric=_CATCH.format(way="30 m")),
    "step-depth": Phrase("{species}: {least_small_m..most_small_m}"),
    "step-depth-unknown": Phrase("not in the table, ask the seed supplier: {species}"),
    "step-drive": Phrase("{box} box: engage the {drive} drive, or nothing falls from it"),
    "step-drive/own": Phrase("{box} box: engage its own drive, or nothing falls from it"),
    "step-fill": Phrase(
        "{box} box: fill line at {usable_frac} of it, {usable_box_m3}, {usable_kg:0}<, mixed with {carrier_frac} {carrier} by weight>"
        "<; its seed falls {lands}>"
    ),
    "step-fill/native": Phrase(
        "{box} box: fill line at {usable_frac} of it, {usable_box_m3}, {usable_kg:0}<, mixed with {carrier_frac} {carrier} by weight>"
        "; agitators free, graphite as the manual says: native seed bridges without it"
    ),
    "step-gate": Phrase("{box} box: seed gate at notch {n_notch}, for seed {like}"),
    "step-no-remotes": Phrase(
        "The tractor has no rear remotes: find out how this drill is lifted before you hitch it"
    ),
    "step-notches": Phrase(
        "Set no deeper than {most_small_m}, for the species that stands least of those in the table: "
        "{n_notches} {n_notches|notch|notches} of {notch_small_m}; every row the same"
    ),
    "step-notches/none": Phrase(
        "Set no deeper than {most_small_m}, for the species that stands least of those in the table: "
        "the shallowest setting there is; every row the same"
    ),
    "step-setting": Phrase(
        f"{_SET}: <range {{gear_range}}, >setting {{chart_setting}} by the rate chart, which only gets one close"
    ),
    "step-setting/mix": Phrase(
        f"{_SET} of the mix: a chart for one seed does not hold for it, start low and calibrate"
    ),
    "step-setting/no-answer": Phrase(f"{_SET}: {{why}}; start from the maker's chart"),
    "step-setting/uncharted": Phrase(
        f"{_SET}: no rate chart for it in the job file, start from the maker's"
    ),
    "step-weight": Phrase("The drill weighs {drill_kg:0}: what pulls it must also stop it"),
    "surface-as-a-rule": Phrase("as a rule behind the openers, on the surface: look"),
    "test-ahead": Phrase('Mix "{mix}": the date of test lies after {on}: {lots}. Check the date.'),
    "test-old": Phrase(
        'Mix "{mix}": tested over {n_most_months} months before {on}: {lots}. Seed that crosses state lines must be tested '
        "within {n_most_months} months ({sources}), state rules differ; live seed falls with age: ask for a newer test."
    ),
    "tractor": Phrase("{parts}"),
    "tractor-power": Phrase("{power_w} at the shaft"),
    "tractor-remotes": Phrase("{n_remotes} {n_remotes|pair|pairs} of rear remotes"),
    "two-conventions": Phrase(
        'The full stands in mix "{mix}" come from two conventions, of about {low_seeds_per_m2} and about {high_seeds_per_m2}, '
        "all live ({stands}): shares of them do not add to one stand. Give these rates in live seeds by area instead."
    ),
}
