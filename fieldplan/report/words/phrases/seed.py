"""Sentences on mixes, tags, boxes and calibration, and the steps of a set-up card that depend on them."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

_CATCH = (
    "{{box}} box: catch {{row_catch_kg_per_m}} a row, {{drill_catch_kg_per_m}} from all {{n_rows}}, over {distance}"
    "< or {{wheel_catch_per_m}} turns of the drive wheel without slip>; do it three times, then set again (fieldplan calibrate)"
)
_SET = "{box} box: {load_kg_per_m2}"
PHRASES: dict[str, Phrase] = {
    "field-unknown/in-job": Phrase(
        "is not the id of a field in {boundary}", hint='<did you mean "{near}"? >fields there: {known}'
    ),
    "mix-unknown": Phrase(
        'asks for mix "{mix}"; {job} has "{known*", "}"',
        hint='<did you mean "{near}"? >add [field.{field}] mix = "…" to the job file, or an attribute mix to the field',
    ),
    "mix-unknown/not-said": Phrase(
        'has no mix; {job} has "{known*", "}"',
        hint='<{like* } >add [field.{field}] mix = "…" to the job file, or an attribute mix to the field',
    ),
    "bags-more": Phrase("{n_bags} {n_bags|bag|bags} more to buy"),
    "bags-more/none": Phrase("no bag more to buy"),
    "chart-order": Phrase(
        "the rates of the chart do not rise with its settings",
        hint="check the lines of the chart for typing errors",
    ),
    "chart-outside/rate": Phrase(
        "the rate is outside the rate chart in this gear range",
        hint="use another gear range, or add lines of the chart",
    ),
    "chart-outside/setting": Phrase(
        "the setting is outside the rate chart", hint="use another gear range, or add lines of the chart"
    ),
    "chart-range": Phrase(
        'the rate chart has "{seed}" in several gear ranges: {ranges}', hint="name one of: {ranges}"
    ),
    "chart-seed": Phrase('the rate chart has no line for "{seed}"', hint="it has: {known}"),
    "chart-thin": Phrase(
        'the rate chart has fewer than two settings for "{seed}"< in gear range "{gear_range}">',
        hint="add lines, or use another gear range: {ranges}",
    ),
    "full-stand": Phrase("{species} {full_seeds_per_m2}"),
    "least-level/assumed": Phrase("assumed, as the job file gives none"),
    "least-level/given": Phrase("given in the job file"),
    "metering-out-of-range/over": Phrase(
        'Mix "{mix}" needs {asked_m3_per_m2} ({asked_kg_per_m2}) from the {box} box, over its metering range of '
        "{low_m3_per_m2..high_m3_per_m2}."
    ),
    "metering-out-of-range/under": Phrase(
        'Mix "{mix}" needs {asked_m3_per_m2} ({asked_kg_per_m2}) from the {box} box, under its metering range of '
        "{low_m3_per_m2..high_m3_per_m2}; add a carrier to raise it."
    ),
    "metering-unknown": Phrase(
        'The job file gives no metering range for the {boxes* and } box, so nobody checked that it can meter mix "{mix}".'
    ),
    "months-since-test": Phrase("{lot} {n_months} months, to be sold through {through}"),
    "native-box": Phrase(
        "Native seed bridges over the meters. Dust it with graphite as the drill's manual says, fill its box only about half to "
        "keep the agitators free, and engage the drive of that box ({sources}).",
        short="Native seed bridges: dust it with graphite as the manual says, fill its box about half, engage its drive.",
    ),
    "native-speed": Phrase(
        "Native seed should be sown at {low_m_per_s..high_m_per_s} ({sources}); this plan sows at {field_m_per_s}."
    ),
    "overage-raised": Phrase(
        "The {box} box keeps its least level ({least_level}): {stays_kg} of residual seed is left in it, {more_kg} beyond the "
        "overage asked for; {bags}<, {cost}>. You get it back when you empty the box. If you sweep the last seed to the meters, set "
        "sweep = true in [[drill.box]]."
    ),
    "scale-coarse": Phrase(
        "A scale with steps of {scale_kg} is too coarse for some portions of {species*, }: half a step is over 5 % of them. Use a finer one, and give "
        "its step as scale in [loading]."
    ),
    "seed-treated": Phrase(
        'Mix "{mix}" has treated seed ({species}): read the label, wear the protection it asks for, keep dust down, and never '
        "use the seed for food, feed or oil ({sources}). Clean the boxes before you fill them with untreated seed."
    ),
    "sow-order": Phrase(
        "Fields are sown in the order {order}: {n_best} {n_best|box is|boxes are} emptied and {n_best_reset} set again; in the order of "
        "the file, {n_given} and {n_given_reset}. That saves {saved_s}. To keep the order of the file, set field_order = "
        '"as given" in [working]; a priority of fields is always kept.',
        short="Fields are sown in the order {order}: saves {saved_s} of emptying and setting boxes.",
    ),
    "sow-order/kept": Phrase(
        "The order of the file is kept: {n_given} {n_given|box is|boxes are} emptied and {n_given_reset} set again. In the order {order} "
        'it would be {n_best} and {n_best_reset}, and {saved_s} less. For that, set field_order = "fewest changes" in [working].'
    ),
    "treated-held": Phrase(
        "Treated seed is at hand though this field may not call for it: {held*; }. Read its label, keep it apart, and never use it for food, feed or "
        "oil ({sources})."
    ),
    "treated-last": Phrase(
        "The drill comes back with boxes that held treated seed ({boxes*, }): clean them out first. What to do with seed that is left is on its "
        "label and in local rules ({sources})."
    ),
    "treated-seed/sown": Phrase("{species*, } in the {box} box, sown here with {mix}"),
    "treated-seed/still-in": Phrase(
        "{species*, } of {mix} still in the {box} box, which this field does not use: keep its drive off"
    ),
    "treated-seed/cleaned-out": Phrase(
        "{species*, } of {mix} was in the {box} box: empty and clean it before this field"
    ),
    "treated-seed/bagged": Phrase("{species*, } of {mix} in a bag emptied from the {box} box"),
    "step-boxes-idle": Phrase("Not used: {boxes}; keep empty and shut, drive off"),
    "step-catch": Phrase(_CATCH.format(distance="100 ft"), metric=_CATCH.format(distance="30 m")),
    "step-depth": Phrase("Published: {depths*; }"),
    "step-drive": Phrase("{box} box: engage the {drive} drive, or no seed falls"),
    "step-drive/own": Phrase("{box} box: engage its drive, if it has one of its own, or no seed falls"),
    "step-fill": Phrase(
        "{box} box: never above {line_frac}, {line_box_m3}, {line_kg:0}<; this job has no more in it at once than {most_frac}, {most_box_m3}, {most_kg:0}>"
    ),
    "step-fill/native": Phrase(
        "{box} box: never above {line_frac}, {line_box_m3}, {line_kg:0}<; this job has no more in it at once than {most_frac}, {most_box_m3}, {most_kg:0}>"
        "; keep agitators free and add graphite as the manual says: native seed bridges without it"
    ),
    "step-gate": Phrase(
        "{box} box, only if its seed gate has three steps, as one kind of drill has: step {n_notch}, for seed {like}; the drill's own chart comes first"
    ),
    "step-gate/charted": Phrase("{box} box: seed gate {gates*, } by the rate chart"),
    "step-holds": Phrase("{box} box holds {lots*; }"),
    "step-holds-lot": Phrase("{of_box_frac} {species}< ({lot})>< {treated}>"),
    "step-holds-treated": Phrase("TREATED"),
    "step-lands": Phrase("{box} box: its seed falls {lands}"),
    "step-lands/unknown": Phrase(
        "{box} box: find out where its seed falls, in the furrow or on the surface; the job file does not say"
    ),
    "step-no-remotes": Phrase(
        "The tractor has no rear remotes: find out how this drill is lifted before you hitch it"
    ),
    "step-box-depth": Phrase(
        "{box} box: no deeper than {most_small_m}; its finest seed is {finest}<, {count}><; ask the seed supplier about {asked*, }>"
    ),
    "step-box-depth/fine": Phrase(
        "{box} box: {most_small_m}, the shallow end for its finest seed, {finest}<, {count}><; ask the seed supplier about {asked*, }>"
    ),
    "step-box-depth/asked": Phrase(
        "{box} box: not in the table for its finest seed<, {finest}><, {count}><; {limit} at {limit_small_m} at most>; ask the seed supplier about {asked*, }"
    ),
    "step-box-depth/surface": Phrase(
        "{box} box: its seed falls on the surface; the openers do not set its depth<; ask the seed supplier about {asked*, }>"
    ),
    "step-notches": Phrase(
        "Set no deeper than {most_small_m}, for {species} in the {box} box: "
        "{n_notches} {n_notches|notch|notches} of {notch_small_m}; every row the same<. Ask first about {asked*, }: it may want less>"
    ),
    "step-notches/none": Phrase(
        "Set no deeper than {most_small_m}, for {species} in the {box} box: the shallowest setting there is; every row the same<. Ask "
        "first about {asked*, }>"
    ),
    "step-road-width": Phrase(
        "Measure how wide the drill is on the road, folded as it travels: it decides gates, bridges and what your state asks of wide loads"
    ),
    "step-treated-held": Phrase(
        "TREATED SEED of earlier fields, {held}. What to do with what is left is on its label and in local rules"
    ),
    "step-setting": Phrase(
        f"{_SET}: <range {{gear_range}}, >setting {{chart_setting}} by the rate chart; it only gets you close"
    ),
    "step-setting/mix": Phrase(
        f"{_SET} of the mix: charts for one seed do not work for a mix, start low and calibrate; a chart of the mix can stand in the job file by its name"
    ),
    "step-setting/no-answer": Phrase(f"{_SET}: {{why}}; start from the maker's chart"),
    "step-setting/uncharted": Phrase(
        f"{_SET}: the job file has no rate chart for it; start from the maker's chart"
    ),
    "step-weight": Phrase("The drill weighs {drill_kg:0}: the tractor must also be able to stop it"),
    "age-limit-of": Phrase("{seed} {n_months} months< ({remark})>"),
    "depth-of": Phrase("{species} {least_small_m..most_small_m}"),
    "depth-of/surface": Phrase("{species} on the surface, pressed in and not covered"),
    "dormant-unsaid/dormant": Phrase(
        'Mix "{mix}": {lots*, }: such seed is often dormant, and laboratories must say how much ({sources}). The job file does not: none is counted. Give '
        'dormant from the tag; dormant = "0 %" if it says none.'
    ),
    "dormant-unsaid/hard": Phrase(
        'Mix "{mix}": {lots*, }: such seed is often hard ({sources}), and the job file does not say how much is. Give hard from the tag; '
        'hard = "0 %" if it says none.'
    ),
    "noxious-named": Phrase(
        'Mix "{mix}": the tag names noxious weeds: {lots*; }. A prohibited weed may not be in the seed at all, a restricted one up to a number; the list that '
        "counts is that of the state where it is sown<, {state}>< ({says}; {sources})>. Look there before you sow it."
    ),
    "noxious-of": Phrase("{lot}: {weeds*, }"),
    "not-sold/weed": Phrase(
        'Mix "{mix}": weed seed {lots*, }: {state} lets seed be sold with {limit_typed_frac} at most ({sources}).'
    ),
    "not-sold/purity": Phrase(
        'Mix "{mix}": purity {lots*, }: {state} lets seed be sold with {limit_typed_frac} at least ({sources}).'
    ),
    "not-sold/live": Phrase(
        'Mix "{mix}": germination and hard seed {lots*, }: {state} lets seed be sold with {limit_typed_frac} at least ({sources}).'
    ),
    "other-crop-high": Phrase(
        'Mix "{mix}": other crop {lots*, }. Each kind over {most_typed_frac} must be named on the label with its share ({sources}): read which it is.'
    ),
    "seed-bridges": Phrase(
        'Mix "{mix}": {species*, } in the {box} box bridges over the meters and needs an agitator ({sources}). Use a box that has one.'
    ),
    "seed-placement/cover": Phrase(
        'Mix "{mix}": the {box} box drops seed {lands}, and {species*, } is to be covered ({sources}). Use a box that drops it in the furrow.'
    ),
    "seed-placement/light": Phrase(
        'Mix "{mix}": {species*, } needs light to germinate ({sources}), and the {box} box drops seed {lands}. Sow it as shallow as the drill can, or from a '
        "box that drops it on the surface."
    ),
    "seed-placement/surface": Phrase(
        'Mix "{mix}": the {box} box drops seed {lands}, and {species*, } belongs on the surface ({sources}). Use a box that drops it there.'
    ),
    "seed-placement/surface-unknown": Phrase(
        'Mix "{mix}": {species*, } in the {box} box belongs on the surface ({sources}). The job file does not say where the seed of that box falls: '
        'give lands, "on the surface" or "in the furrow".'
    ),
    "share-of-lot": Phrase("{lot} {tag_typed_frac}"),
    "lots-of": Phrase("{n_lots} of {n_all} lots"),
    "tag-line/noxious": Phrase("noxious weeds<, of {lots*, }><, of {some}>"),
    "tag-line/weed": Phrase("weed seed<, of {lots*, }><, of {some}>"),
    "tag-line/other-crop": Phrase("other crop<, of {lots*, }><, of {some}>"),
    "tag-line/origin": Phrase("origin<, of {lots*, }><, of {some}>"),
    "tag-unsaid": Phrase(
        'Mix "{mix}": lines of the tags that the job file leaves out: {lines*; }. Read them on the tag: nothing here replaces the label or the '
        "law of the place."
    ),
    "test-ahead": Phrase('Mix "{mix}": the test date is after {on}: {lots}. Check the date.'),
    "test-limit-unknown": Phrase(
        'Mix "{mix}": no number of months was found for {state}<: {remark}>< ({sources})>. Ask its seed control office, or give test_limit_months in [seed_law].'
    ),
    "test-old": Phrase(
        'Mix "{mix}": tested more than {n_most_months} months before {on}: {lots}. Seed shipped across state lines needs a test '
        "within {n_most_months} months ({sources}); the limits of states are {n_low_months} to {n_high_months} months: give state in [seed_law] for its own. "
        "All are limits on sale: seed that you have may be sown. Germination falls with age: ask for a newer test.",
        short='Mix "{mix}": tests over {n_most_months} months old; ask for newer ones.',
    ),
    "test-old/crosses": Phrase(
        'Mix "{mix}": tested more than {n_most_months} months before {on}: {lots}. It comes from another state, and seed shipped across state lines '
        "needs a test within {n_most_months} months ({sources}). The limit is on shipping and sale, not on sowing. Germination falls with age: ask for a newer test.",
        short='Mix "{mix}": tests over {n_most_months} months old; ask for newer ones.',
    ),
    "test-old/limit": Phrase(
        'Mix "{mix}": tested more than {n_most_months} months before {on}, the limit that the job file sets ({remark}): {lots}. The limit is on sale, '
        "not on sowing. Germination falls with age: ask for a newer test.",
        short='Mix "{mix}": tests over {n_most_months} months old; ask for newer ones.',
    ),
    "test-old/state": Phrase(
        'Mix "{mix}": tested more than {n_most_months} months before {on}, the limit of {state} for seed that is sold ({sources}< {remark}><; {of_some*, }>): '
        "{lots}. The limit is on sale, not on sowing. Germination falls with age: ask for a newer test.",
        short='Mix "{mix}": tests over {n_most_months} months old; ask for newer ones.',
    ),
    "test-unsaid": Phrase(
        'Mix "{mix}": no test date is given for {lots*, }, so nobody can tell how old the germination is. Give tested, such as "2027-01", from the tag.',
        short="Lots without a test date: give tested from the tag (-v names them).",
    ),
    "tz-counted": Phrase(
        'Mix "{mix}": live seed by a tetrazolium test: {lots*, }. It tells what is alive, not what germinates<; in {state} {says} ({sources})>.'
    ),
    "tz-lot": Phrase("{lot} {tz_typed_frac}<, {month}>"),
    "tz-undated": Phrase(
        'Mix "{mix}": no date is given for the tetrazolium test of {lots*, }. Give tz_tested.'
    ),
    "tractor": Phrase("{parts}"),
    "tractor-power": Phrase("PTO power {power_w}"),
    "tractor-remotes": Phrase("{n_remotes} {n_remotes|pair|pairs} of rear remotes"),
    "two-conventions": Phrase(
        'The full seeding rates in mix "{mix}" come from two conventions, about {low_seeds_per_m2} and about '
        "{high_seeds_per_m2}, all of pure live seed ({stands}), so shares of them do not add up to one stand. Give these rates in live seeds per area instead."
    ),
}
