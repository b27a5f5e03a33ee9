"""What the form asks, in which order, and what each box is called: a new key of the job file is one line here."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from fieldplan.jobfile.schema import SCHEMA
from fieldplan.web.controls import Control, control_of, money_control

Suggested = Literal[
    "",
    "boxes",
    "mixes",
    "hitches",
    "carriers",
    "states",
    "places",
    "rules",
    "drainages",
    "surveys",
    "sides of drill",
    "lands",
]
"""Words that are offered while typing; anything else may be typed too."""


@dataclass(frozen=True, slots=True)
class Box:
    """One box of the form.

    Parameters
    ----------
    key
        The key of the job file.
    label
        What it is called.
    help
        What is meant, and what happens if it is left empty where no default says so.
    more
        Whether it is folded away until somebody asks for more.
    offers
        Words that are offered while typing.
    is_file
        Whether it names a file that lies beside the job.
    """

    key: str
    label: str
    help: str = ""
    more: bool = False
    offers: Suggested = ""
    is_file: bool = False


@dataclass(frozen=True, slots=True)
class Sheet:
    """The boxes of one table of the job file; ``table`` is its name in the schema."""

    table: str
    boxes: tuple[Box, ...]


@dataclass(frozen=True, slots=True)
class Group:
    """A part of the form, with what it is for."""

    name: str
    title: str
    says: str
    sheets: tuple[Sheet, ...]


GROUPS = (
    Group(
        "drill",
        "The drill",
        "Measure it or ask whoever lends it. The first four boxes and the seed boxes are all that a plan needs.",
        (
            Sheet(
                "drill",
                (
                    Box("name", "What people call it", "as it shall stand on the papers"),
                    Box("rows", "Openers", "how many rows it sows at once"),
                    Box("row_spacing", "From one opener to the next"),
                    Box(
                        "turning_radius",
                        "Tightest turn, drill lifted",
                        "from the center of the circle to the middle of the drill: the least that tractor and drill can drive together",
                    ),
                    Box("pass_overlap", "Wanted overlap of passes", more=True),
                    Box(
                        "reverse",
                        "Backing up in turns",
                        "“never” if the rig cannot, “free” if it may wherever that saves time",
                        more=True,
                    ),
                    Box(
                        "sowing_radius",
                        "Tightest turn while sowing",
                        "openers in the ground; left empty, twice the tightest turn",
                        more=True,
                    ),
                    Box(
                        "pass_radius",
                        "Tightest bend of a whole pass",
                        "along an edge or a guide line; left empty, ten widths of the drill",
                        more=True,
                    ),
                    Box(
                        "follows_bend",
                        "Sharpest corner sown in one sweep",
                        "at sharper ones the drill is lifted",
                        more=True,
                    ),
                    Box("transport_width", "Width on the road", "is checked against the gates", more=True),
                    Box("weight", "Weight, empty", more=True),
                    Box(
                        "min_pto_power",
                        "Tractor power it needs",
                        "what its owner asks for; comes before the usual for its width",
                        more=True,
                    ),
                    Box("min_remotes", "Hydraulic outlets it needs", more=True),
                    Box("hitch", "Hitch", more=True, offers="hitches"),
                    Box("lender", "Who lends it, with telephone", "for the field sheets", more=True),
                    Box(
                        "wheel_circumference",
                        "Way of one turn of the drive wheel",
                        "to calibrate by turns",
                        more=True,
                    ),
                    Box("notch_depth", "Depth of one notch of the depth stop", more=True),
                ),
            ),
            Sheet(
                "drill.box",
                (
                    Box("name", "What the box is called"),
                    Box("kind", "Kind of box", "native: for fluffy seed, with agitators and large outlets"),
                    Box(
                        "volume",
                        "Holds, full to the brim",
                        "length × width × depth inside, or from its plate",
                    ),
                    Box(
                        "metering",
                        "Meters at least and at most",
                        "the range of its meters by volume, if you know it",
                        more=True,
                    ),
                    Box("usable", "Share that is filled", more=True),
                    Box(
                        "residual",
                        "Seed left when it is refilled",
                        "refill before it falls under this",
                        more=True,
                    ),
                    Box(
                        "sweep",
                        "Last seed is swept to the meters",
                        "by hand, so that none is ordered to be left over",
                        more=True,
                    ),
                    Box("lands", "Where its seed ends up", more=True, offers="lands"),
                    Box("drive", "Side that drives its meters", more=True, offers="sides of drill"),
                    Box(
                        "cleaning",
                        "Time to empty and clean it",
                        "counts where several mixes share a job",
                        more=True,
                    ),
                    Box(
                        "resetting",
                        "Time to set it again",
                        "counts where several mixes share a job",
                        more=True,
                    ),
                ),
            ),
            Sheet(
                "drill.chart",
                (
                    Box(
                        "seed",
                        "Seed of this line",
                        "or the name of a mix, for a box that holds several lots",
                    ),
                    Box("setting", "Setting"),
                    Box("rate", "Rate at that setting"),
                    Box("box", "Box", "if the chart is of one box only", offers="boxes"),
                    Box("range", "Gear range", "as the chart calls it"),
                    Box("gate", "Seed gate", "as the chart calls it"),
                ),
            ),
        ),
    ),
    Group(
        "tractor",
        "The tractor",
        "For the set-up card and for what hills ask of it. All may stay empty.",
        (
            Sheet(
                "tractor",
                (
                    Box("pto_power", "Power at the PTO"),
                    Box("remotes", "Hydraulic outlets"),
                    Box("hitch", "Hitch", offers="hitches"),
                    Box("weight", "Weight"),
                    Box("drive", "Drive"),
                    Box(
                        "front_reach",
                        "Front swings out in turns",
                        "from the path of the drill's middle out to the outer front corner",
                    ),
                ),
            ),
        ),
    ),
    Group(
        "working",
        "How you work",
        "Every box may stay empty: beside it stands what is taken then.",
        (
            Sheet(
                "working",
                (
                    Box(
                        "field_speed",
                        "Speed while sowing",
                        "the maker's manual says what the drill and the seed can take",
                    ),
                    Box("turn_speed", "Speed with the drill lifted"),
                    Box("refill_time", "One stop to fill the boxes"),
                    Box("tube_check", "Looking for plugged tubes", "at the start and after each filling"),
                    Box("pick_up", "Fetching the drill"),
                    Box("set_up", "Hitching and hoses"),
                    Box("calibration", "Calibration"),
                    Box("clean_out", "Cleaning out and bringing back"),
                    Box(
                        "seed_at",
                        "Where the seed waits",
                        "at the gate, or on a vehicle that follows the drill",
                    ),
                    Box(
                        "edge",
                        "Outer edges of the fields",
                        "open: turns may swing out over them, drill lifted",
                    ),
                    Box("heading", "Heading of the passes", "a compass bearing, or best"),
                    Box("headland_rounds", "Rounds of headland", "a number from 0 to 12, or auto"),
                    Box("headland", "Headland is sown", more=True),
                    Box(
                        "blocks",
                        "Blocks of one field",
                        "the most blocks, each with a heading of its own, or best",
                        more=True,
                    ),
                    Box("pattern", "How passes run", more=True),
                    Box(
                        "order",
                        "Order of passes",
                        "plain: one that you can follow without guidance",
                        more=True,
                    ),
                    Box(
                        "sowings",
                        "Times the field is sown",
                        "2 sows it twice, at half the rate each time",
                        more=True,
                    ),
                    Box("field_order", "Order of fields", more=True),
                    Box("break", "Each break", more=True),
                    Box("break_every", "A break after this much work", more=True),
                    Box(
                        "turn_extra", "Extra time in each turn", "to lift, slow down and line up", more=True
                    ),
                    Box("backing_speed", "Speed in reverse", more=True),
                    Box("direction_change", "Each change of direction", more=True),
                    Box("backing_saves", "Backing must save this much", more=True),
                    Box("smallest_obstacle", "Sow straight over holes smaller than", more=True),
                    Box("lift_over", "Cross gaps up to", "in a straight line, drill lifted", more=True),
                    Box("towing_speed", "Speed on the road", more=True),
                    Box("road_factor", "Road over straight distance", more=True),
                    Box(
                        "elevation",
                        "File of heights",
                        "a GeoTIFF beside the job: slope, grade along passes",
                        more=True,
                        is_file=True,
                    ),
                    Box("hill_speed", "Speed on steep ground", more=True),
                    Box("hill_slope", "Ground is steep from", more=True),
                    Box(
                        "row_grade",
                        "Most grade along passes",
                        "the local office decides what applies",
                        more=True,
                    ),
                    Box("row_grade_of_slope", "or this share of the slope, if less", more=True),
                    Box("outlet_grade", "Most grade near an outlet", more=True),
                    Box("outlet_within", "Near an outlet is within", more=True),
                    Box("contour_from", "Limits of grade apply from slope", more=True),
                ),
            ),
        ),
    ),
    Group(
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
                    Box("treated", "Treated seed", more=True),
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
    ),
    Group(
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
    ),
    Group(
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
    ),
    Group(
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
    ),
    Group(
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
    ),
)
LEFT_TO_THE_FILE = ("target", "target.group", "target.species", "target.lot", "season", "season_drill")
"""Tables that the form leaves to files: targets of mixes that are designed, and seasons of a whole district."""
SHEETS = {sheet.table: sheet for group in GROUPS for sheet in group.sheets}
_MONEY = {("cost", "fuel_price"): money_control("volume"), ("cost", "wage"): money_control("time")}
_MORE_UNITS = {("loading", "scale"): ("{} g", "{} oz")}


def control(table: str, key: str) -> Control:
    """The inputs of a box."""
    if (table, key) in _MONEY:
        return _MONEY[table, key]
    found = control_of(SCHEMA[table][key].parse, f"{table}.{key}")
    more = _MORE_UNITS.get((table, key), ())
    if not more:
        return found
    return Control(form=found.form, units=(*more, *found.units), choices=found.choices, word=found.word)


CONTROLS = {
    (table, box.key): control(table, box.key) for table, sheet in SHEETS.items() for box in sheet.boxes
}
