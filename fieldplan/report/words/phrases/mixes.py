"""Sentences on mixes that are designed, the stand that a mix sows, and seed in stock."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

PHRASES: dict[str, Phrase] = {
    "budget-unreadable": Phrase(
        "is no sum for an area ({given})",
        hint='write "$150/ac"',
        metric_hint='write "300 EUR/ha"',
    ),
    "card-stand": Phrase("Live seed in all: {sown_seeds_per_m2:1}<, without {unsized}>"),
    "demand/at-hand": Phrase("no more than {bound_kg} of {about} at hand"),
    "demand/budget": Phrase("a budget of {bound} an acre"),
    "demand/pls-least-part": Phrase("at least {bound} PLS of {about}"),
    "demand/pls-most-part": Phrase("at most {bound} PLS of {about}"),
    "demand/seeds-least-all": Phrase("at least {bound:1} in all"),
    "demand/seeds-least-part": Phrase("at least {bound:1} of {about}"),
    "demand/seeds-most-all": Phrase("at most {bound:1} in all"),
    "demand/seeds-most-part": Phrase("at most {bound:1} of {about}"),
    "demand/share-least": Phrase("at least {bound_frac:1} of all seeds {about}"),
    "demand/share-most": Phrase("at most {bound_frac:1} of all seeds {about}"),
    "extra-for/mix": Phrase("Designing a mix"),
    "span-unreadable": Phrase(
        "does not say a least and a most ({given})",
        hint='write "at least {amount}", "at most {amount}", "{amount}" for just that, or two ends such as "20 to 30 …" with the unit',
    ),
    "span-unreadable/order": Phrase("has its least above its most ({given})", hint="turn them round"),
    "span-unreadable/quantity": Phrase(
        "{why}", hint='write such as "at least 20 seeds/ft2", "at most 40 %" or "2 to 4 lb/ac"'
    ),
    "stand-seeds": Phrase(
        'Mix "{mix}" sows {sown_seeds_per_m2:1} of live seed in all< (without {unsized}, whose seeds per pound are not known)>. Published full stands are '
        "counted by two conventions, about {low_seeds_per_m2} and about {high_seeds_per_m2} ({sources}).",
        short='Mix "{mix}" sows {sown_seeds_per_m2:1} of live seed in all.',
    ),
    "stand-share": Phrase("{share_typed_frac}"),
    "stand-shares": Phrase(
        'Mix "{mix}": shares of a full stand add up to {shares* + } = {whole_typed_frac}.'
    ),
    "stand-shares/over": Phrase(
        'Mix "{mix}": shares of a full stand add up to {shares* + } = {whole_typed_frac}, more than one stand; seed is wasted unless that is meant.'
    ),
    "stock-changed": Phrase(
        "was changed by somebody else at the same time; nothing was written", hint="run the command again"
    ),
    "stock-drawn-already": Phrase(
        'The stock has seed drawn for "{job}" already: {lots}',
        hint="record what was returned, take the last write back (fieldplan stock undo), or give the job another name with --as",
    ),
    "stock-fact/unknown": Phrase("is no column of the stock file ({name})", hint="one of: {known}"),
    "stock-has-none": Phrase(
        'The stock has nothing that "{job}" needs', hint="fieldplan stock need says what to buy"
    ),
    "stock-nothing-to-undo": Phrase(
        "has no rows that fieldplan wrote", hint="rows added by hand are taken out by hand"
    ),
    "stock-row/below-nothing": Phrase(
        "takes {short_kg:3} more than there is",
        hint="check the weights, or add what is missing as bought or counted",
    ),
    "stock-row/entry": Phrase("is no number ({given})", hint="leave it empty for rows that you add"),
    "stock-row/left": Phrase(
        "says that {said:3} are left, but the rows add up to {sum:3}",
        hint="mend the weight or the left of this row or one above; to start from what the scale says, add a row counted",
    ),
    "stock-row/returned": Phrase(
        'gives back {more_kg:3} more than "{job}" has', hint="check the weight and the job"
    ),
    "stock-row/share": Phrase("is not between 0 and 100 % ({given})", hint='write such as "92 %"'),
    "stock-row/weight": Phrase("is no weight of seed ({given})", hint='write "50 lb" or "12 oz"'),
    "stock-row/what": Phrase(
        "is no kind of row ({given})", hint='<did you mean "{near}"? >one of: {known}'
    ),
    "stock-row/yes-no": Phrase("is neither yes nor no ({given})", hint="write yes or no"),
    "table-missing/target": Phrase(
        "has no [[target]]", hint="fieldplan mix --help shows what a target may hold"
    ),
    "tag-unreadable": Phrase(
        "is no tag ({given})", hint='write such as --tag "LB-1=purity 90 %, germination 61 %, dormant 5 %"'
    ),
    "tag-which": Phrase(
        "is of no lot, or of several, whose seed left is given ({given})",
        hint="give --left of the lot too; lots: {known}",
    ),
    "target-asks-nothing": Phrase(
        'Target "{target}" asks for no seed at all',
        hint='give seeds = "40 seeds/ft2", or a least of a group or a species',
    ),
    "target-contradicts": Phrase(
        'No mix meets target "{target}". These demands contradict each other: {demands*; }',
        hint="change one of them, the others held: {gives*; or }",
    ),
    "target-contradicts/more": Phrase(
        'No mix meets target "{target}". These demands contradict each other: {demands*; }',
        hint="change several: other demands are in the way too, and no one change is enough",
    ),
    "target-empty": Phrase(
        'target "{target}" has no lots', hint='add [[target.lot]] for each, or stock = "stock.csv"'
    ),
    "target-ground": Phrase(
        "is given, but not for how much ground",
        hint='add ground = "20 ac" to the target',
    ),
    "target-not-said": Phrase("has several targets", hint="add --target with one of: {known}"),
    "target-of-none": Phrase("is of no lot ({given})", hint="lots are of: {known}"),
    "target-prices": Phrase(
        "is missing for some lots: {lots}",
        hint="give prices for all seed to be bought, or for none and no budget",
    ),
    "target-rate": Phrase("is what fieldplan mix finds", hint="leave it out of the lots of a target"),
    "target-share": Phrase("is over 100 % of all seeds", hint='write such as "20 to 30 %"'),
    "target-unknown": Phrase('has no target "{target}"', hint="targets: {known}"),
    "target-unbounded": Phrase(
        'Nothing limits the seeds of target "{target}"',
        hint="give a budget, seed at hand, or a most in all",
    ),
}
