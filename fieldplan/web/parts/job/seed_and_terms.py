"""The seed, the truck, the cost, the booking and the fields: the boxes of the form, in their order."""

from __future__ import annotations

from fieldplan.web.parts.job.asked import Box, Group, Sheet

MIX = Group(
    "mix",
    "The seed",
    "Type each tag as it is printed. Purity, germination and the weight of a bucket decide how much to buy. "
    "Keep seed that is treated away from food and feed, and follow its label.",
    (
        Sheet(
            "mix",
            (
                Box("name", "What the mix is called"),
                Box("overage", "Seed beyond what is sown", more=True),
            ),
        ),
        Sheet(
            "mix.component",
            (
                Box(
                    "species",
                    "Species",
                    "its common or scientific name or plant symbol; a variety may follow after a comma",
                ),
                Box(
                    "rate",
                    "Rate",
                    "as it was recommended: by live seed, by weight out of the bag, by count or by share of a stand",
                ),
                Box("box", "Box", "left empty: the box that such seed usually goes in", offers="boxes"),
                Box("purity", "Pure seed"),
                Box("germination", "Germination", "without hard and dormant seed"),
                Box("hard", "Hard seed"),
                Box("dormant", "Dormant seed"),
                Box("bulk_weight", "Weight by volume", "weigh a bucket: native seed varies a lot"),
                Box(
                    "treated",
                    "Treated? Read the tag",
                    answers=("treated", "not treated"),
                    asks="Not said yet: it is taken as not treated, which is to be checked.",
                ),
                Box("lot", "Lot number", more=True),
                Box("tested", "Date of test", "the month, such as 2027-01, or the day", more=True),
                Box("origin", "Origin", "where it was grown", more=True),
                Box("other_crop", "Other crop seed", more=True),
                Box("inert", "Inert matter", more=True),
                Box("weed_seed", "Weed seed", more=True),
                Box(
                    "noxious",
                    "Noxious weeds",
                    "“none”, or one weed with its number on each line",
                    more=True,
                ),
                Box(
                    "tz",
                    "Live seed by tetrazolium (TZ)",
                    "beside germination or instead of it",
                    more=True,
                ),
                Box("tz_tested", "Date of the TZ test", more=True),
                Box("variety", "Variety", more=True),
                Box(
                    "form",
                    "Form of the seed",
                    "burs, florets, hulled, coated …: asked for where the count depends on it",
                    more=True,
                ),
                Box("coating", "Coating", "is part of inert matter", more=True),
                Box("bag", "One bag holds", more=True),
                Box("price", "Price", "of seed as it comes out of the bag", more=True),
                Box(
                    "seeds_per_pound",
                    "Seeds to a pound",
                    "from the tag or a count; left empty, the table's figure",
                    more=True,
                ),
                Box(
                    "carrier",
                    "Mixed with a carrier",
                    "such as rice hulls, or rice hulls to 2 bu/ac",
                    more=True,
                    offers="carriers",
                ),
            ),
        ),
    ),
)
LOADING = Group(
    "loading",
    "The truck and the scale",
    "What one trip from the seed house can bring. All may stay empty.",
    (
        Sheet(
            "loading",
            (
                Box(
                    "payload",
                    "Payload",
                    "from the sticker on the door; left empty, each trip takes what a day needs",
                ),
                Box("people", "People riding along"),
                Box("gear", "Tools and gear"),
                Box("tongue", "Trailer's weight on the hitch"),
                Box("empty_bag", "An empty bag"),
                Box("bale", "A bale of carrier"),
                Box("scale", "Smallest step of the scale"),
            ),
        ),
    ),
)
COST = Group(
    "cost",
    "The cost",
    "What you know of it. What stays empty is left out of the sum, and the papers say so.",
    (
        Sheet(
            "cost",
            (
                Box("fuel_price", "Fuel"),
                Box("wage", "An hour of work"),
                Box("miles", "Miles to fetch the drill"),
                Box("rate_card", "File of the lender's rates", "lies beside the job", is_file=True),
                Box("when", "Conditions of the rates", "one on each line, such as area = outside"),
            ),
        ),
    ),
)
BOOKING = Group(
    "booking",
    "The booking",
    "How many days to ask for depends on how many days are fit to work.",
    (
        Sheet(
            "booking",
            (
                Box(
                    "fieldwork_day_chance",
                    "Days fit for fieldwork",
                    "where you are, at that time of year; a published place may stand instead, or a weather record or a state below",
                    offers="places",
                ),
                Box("hours_per_day", "Hours of work in a day"),
                Box("confidence", "How sure you want to be", "to be done within the booked days"),
                Box(
                    "start",
                    "First day",
                    "gives the day you will be done, daylight, and the age of seed tests",
                ),
                Box("finish_by", "Done by"),
                Box("days_off", "Days off", "weekdays and dates, such as Sunday, 2027-05-31"),
                Box(
                    "state",
                    "State",
                    "for what its survey reports of fieldwork days, and for sowing windows",
                    offers="surveys",
                ),
                Box(
                    "weather",
                    "File of daily weather",
                    "a record from near the fields: odds then count its years",
                    is_file=True,
                    more=True,
                ),
                Box("persistence", "Wet days follow wet days", "0 %: as chance has it", more=True),
                Box("uncertainty", "Hours may be off by", more=True),
            ),
        ),
        Sheet(
            "weather",
            (
                Box("units", "Units of the weather file", more=True),
                Box("station", "Station to take", more=True),
                Box("years", "Years to take", "such as 1991-2020", more=True),
                Box("rule", "Rule for fieldwork days", more=True, offers="rules"),
                Box("drainage", "Drainage of the soil", more=True, offers="drainages"),
                Box("survey", "Level from the survey of", more=True, offers="surveys"),
                Box("rain_day", "Rain is filed under", more=True),
                Box("presumed_zero", "Rain “presumed zero” counts as", more=True),
            ),
        ),
        Sheet(
            "seed_law",
            (
                Box(
                    "state",
                    "State where seed is sold",
                    "for limits on the age of seed tests; left empty, that of the booking",
                    more=True,
                    offers="states",
                ),
                Box("from_state", "State the seed comes from", more=True, offers="states"),
                Box("test_limit_months", "Own limit of a test's age, months", more=True),
                Box("test_limit_source", "Where that limit stands", "with its year", more=True),
            ),
        ),
    ),
)
FIELD = Group(
    "field",
    "Field by field",
    "Which mix goes on which field, and what is different there.",
    (
        Sheet(
            "field",
            (
                Box("mix", "Mix", offers="mixes"),
                Box("gate", "Gate", "latitude and longitude, if it is not on the map"),
                Box("seed_at", "Place of the seed", "latitude and longitude, if it is not on the map"),
                Box("move", "Time to get there", "from the field before"),
                Box("slope", "Slope"),
                Box("gate_width", "Width of the gate"),
                Box("edge", "Outer edge"),
                Box("open_sides", "Open sides", "only these sides are open"),
                Box("pattern", "How passes run"),
                Box("neighbor", "Whom to call there", "with telephone, for the field sheet"),
                Box("exclusions", "File of ground not to sow", "lies beside the job", is_file=True),
            ),
        ),
    ),
)
