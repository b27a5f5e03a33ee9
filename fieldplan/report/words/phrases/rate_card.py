"""Phrases about rate cards."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

_DID_YOU_MEAN = '<did you mean "{near}"? >'

PHRASES: dict[str, Phrase] = {
    "card-value/alternatives": Phrase(
        "needs two charges or more, and no deposit", hint="the same word at each of the alternatives"
    ),
    "card-value/amount": Phrase("is {given}", hint='such as "{example}"'),
    "card-value/charge-twice": Phrase(
        "is there twice under the same conditions", hint="give each a name, or conditions of its own"
    ),
    "card-value/currency": Phrase("is {given}", hint='one to three signs or letters, such as "$" or "EUR"'),
    "card-value/days": Phrase("is {given}", hint='whole days, such as "30 days"'),
    "card-value/free": Phrase("needs a charge by the acre, day, hour or mile"),
    "card-value/idle": Phrase(
        "has {idle*, }, which have no effect with {beside}", hint="with {beside}, use: {known*, }"
    ),
    "card-value/least-acres": Phrase("needs a charge by the acre"),
    "card-value/least-days": Phrase("needs a charge by the day"),
    "card-value/days-free": Phrase(
        "is {given}, which is no weekday, no date and none of: days off, days lost, days down",
        hint='<did you mean "{near}"? >such as days_free = ["Sunday", "days lost"]',
    ),
    "card-value/money": Phrase(
        "is {given}, not an amount of money in {currency}",
        hint='such as "{currency}14/ac", "{currency}25/day", "{currency}75/h", "{currency}0.65/mi" or "{currency}50"',
    ),
    "card-value/of": Phrase(
        'names "{of}", which is not a charge above it', hint="put the charge it is a share of above it"
    ),
    "card-value/of-above": Phrase(
        'names "{of}", which is not a charge above it', hint="one of: all, {above*, }"
    ),
    "card-value/share": Phrase(
        "needs a share and what it is of", hint='such as share = "-50 %", of = "drill rent"; or of = "all"'
    ),
    "card-value/share-range": Phrase("is {given}", hint="from -100 % to 999 %"),
    "card-value/sum": Phrase("is {given}, not a plain amount", hint='such as "{currency}140"'),
    "card-value/tables": Phrase("needs one [rate_card] and at least one [[charge]]"),
    "card-value/tier-bounds": Phrase(
        'must rise, each but the last with its "to"', hint='the last tier has no "to"'
    ),
    "card-value/tier-rate": Phrase("needs either a rate or a flat amount"),
    "card-value/tier-units": Phrase(
        "must be by one unit: the acre, day, hour or mile",
        hint='such as rate = "$12/ac" in each; a flat amount is flat = "$120"',
    ),
    "card-value/tiers": Phrase(
        "is not a list of tiers",
        hint='such as tiers = [{ to = "20 ac", rate = "$12/ac" }, { rate = "$11/ac" }]',
    ),
    "card-value/unreadable": Phrase(
        "{why}", hint='<{key} = {right}><did you mean {key} = "{near}"? ><one of: "{choices*", "}">'
    ),
    "card-value/words": Phrase("is not a table of words", hint='such as { area = "outside" }'),
    "card-value/words-alike": Phrase('is almost "{near}"', hint='use one spelling: did you mean "{near}"?'),
    "key-missing/card-acres": Phrase(
        "is missing", hint='say which acres are billed: acres = "map", "meter" or "to sow"'
    ),
    "key-missing/card-charge": Phrase(
        "needs exactly one of rate, tiers and share", hint='such as rate = "$14/ac"'
    ),
    "key-missing/card-one-of": Phrase(
        "is missing", hint='say whether the "greater" or the "smaller" of the alternatives counts'
    ),
    "key-unknown/card": Phrase('has no key "{name}"', hint=_DID_YOU_MEAN + "known here: {known*, }"),
    "key-unknown/card-table": Phrase(
        "is not a table of a rate card", hint=_DID_YOU_MEAN + "tables: [rate_card] and [[charge]]"
    ),
    "tier-ambiguous": Phrase(
        "must be given: cards are read both ways, and 41 acres can cost less than 40",
        hint='"whole job": the tier\'s rate applies to all acres; "extra acres": only to those beyond the tier below',
    ),
    "tier-ambiguous/fraction": Phrase(
        "must be given: 20.5 acres could fall in the tier up to 20 or in the one from 21",
        hint='"next tier" or "lower tier"',
    ),
}
