"""The drill, the tractor and how one works: the boxes of the form, in their order."""

from __future__ import annotations

from fieldplan.web.parts.job.asked import Box, Group, Sheet

DRILL = Group(
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
                    "letterhead",
                    "Letterhead of whoever lends it",
                    "stands at the top of all papers",
                    more=True,
                ),
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
)
TRACTOR = Group(
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
)
WORKING = Group(
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
                    "search",
                    "Search for the route",
                    "quick compares little; thorough plans each field at 60 headings",
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
                Box("turn_extra", "Extra time in each turn", "to lift, slow down and line up", more=True),
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
                Box("elevation_unit", "Unit of the heights", "where the file leaves it open", more=True),
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
)
