"""What the help of ``fieldplan plan`` explains."""

from __future__ import annotations

from fieldplan.cli.explained import Rows

SECTIONS: dict[str, Rows] = {
    "Passes": (
        ("heading", "The one that takes the least time, unless --heading or the job file sets it."),
        ("blocks", "A field is cut into blocks, each with its own heading, only where that saves time."),
        (
            "pattern",
            "Straight passes; along a curved edge, or in rounds to the middle, where that saves time. [working] or [field.ID] "
            'pattern, or the attribute pattern of a field, sets it: "straight", "along edge", "guide", "rounds" or "best".',
        ),
        (
            "guides",
            'Lines that you draw for passes to follow, in a layer "guide" of the boundary file or with --guide. Passes '
            "run side by side along them, none tighter than [drill] pass_radius; where they would, a gentler curve begins.",
        ),
        (
            "hills",
            "With --elevation (or elevation in [working]), a GeoTIFF: slope, ground over 8, 15 and 25 %, surface, how steep "
            'passes run and what that asks of the tractor. pattern = "contour" keeps passes across the slope, as rows on the '
            "contour may rise; waterways among the exclusions are outlets. No promise about erosion is made.",
        ),
        (
            "order",
            "The one that turns least. With --order plain the page says how much more time that order takes.",
        ),
        (
            "search",
            "quick takes less than half the time to plan, and finds routes that take about 1 % longer over many fields, up to 4 % on single ones and more on narrow ones; thorough plans "
            "each field at 60 headings all round, which takes seconds to minutes a field and helps odd ones. [working] search sets it too.",
        ),
        (
            "whom to call",
            "lender in [drill] and neighbor in [field.ID], a name and a telephone number each: on the sheet and the page only.",
        ),
        (
            "letterhead",
            'In [drill], lines at the top of all papers: letterhead = ["Name of the district", "its address"].',
        ),
        (
            "by words",
            "How to drive it without guidance stands on the sheet, on the page and in plan.json (sequence): which way round, "
            "on which strip to begin, how many to skip.",
        ),
        (
            "edges",
            'Turns keep inside the outer edge. Where there is no fence, say edge = "open" in [working] or in '
            '[field.ID], or open_sides = ["north", "east"] there; or in the boundary file, by the attribute '
            'edge of a field or of lines in a layer "edges". Turns may swing out there, lifted.',
        ),
        (
            "small corners",
            "Corners smaller than a square of the drill's width, and under 0.5 % of the field, are missed: "
            "the drill does not drive back for them.",
        ),
    ),
    "Hours, days and tractor": (
        (
            "hours",
            "Counted along the route: drilling, turns, paths between, refills, tube checks and breaks, "
            "with the handbook's hours beside.",
        ),
        (
            "days to book",
            "The fewest that reach the odds you ask for. The job file may say that wet days come in spells "
            "(persistence), how far the hours may be off (uncertainty), days off, and a start for daylight. "
            "With finish_by the page gives the last safe day to start.",
        ),
        (
            "fieldwork days",
            'Best from a daily weather record: weather = "station.csv" in [booking], with [weather] to say how (rule, drainage, '
            "survey, years, units, station). The job is then run through every year from the start on; odds are shares of years, "
            "with their range, and starts are compared. Without a record the chance that you give decides, or what is published "
            "for your state. fieldplan weather shows what a record says.",
        ),
        (
            "tractor",
            "Power, remotes, hitch, road width, towing speed and slope, each with the source of its limit. "
            "What the drill's owner posts ([drill] min_pto_power, min_remotes, hitch, weight, "
            "transport_width) comes before published figures.",
        ),
        (
            "what cannot be",
            "A parcel narrower than the drill, days that cannot be booked, a finish_by too early, a tractor "
            "that will not do: said first, with what would help. The rest is planned, and the exit code is 0.",
        ),
        (
            "unlikely values",
            "Make a warning; values that can hardly be right stop the plan, with what was likely meant. If "
            'one is right, write in its table: meant = ["row_spacing"].',
        ),
    ),
    "Files (--write)": (
        ("page", "plan.html, one file that needs no network: maps that play the route, tables to print"),
        ("cover", "PDF: one page of what to book, buy, bring, pay and ask [sheets]"),
        (
            "sheet, setup, labels",
            "PDF: two pages a field (map and order of passes, loads and blanks), three where the map would be small, more where stops need them, the set-up card, a label for each batch that is mixed, ten a sheet [sheets]",
        ),
        (
            "bag-labels",
            "PDF: labels for seed of one lot too, which comes in bags with a tag [sheets]",
        ),
        ("order", "seed-order.xlsx, the seed order with formulas you can change [sheets]"),
        ("svg, png", "a map of each field to scale, where the hours go, the odds by days"),
        ("json, timeline", "plan.json and timeline.csv: every number, every leg of the route"),
        (
            "gpkg, geojson, fgb, parquet",
            "layers for a desktop map: fields, headland, passes, turns, refills, missed, excluded, drive_line, guides, slope, over_grade, gates. "
            "The GeoPackage brings styles; parquet needs [scale].",
        ),
        ("kml, kmz, gpx", "for a phone or handheld: boundary, lines from A to B, stops, gate"),
        ("fiboa", "open field boundaries"),
        ("taskdata", "for a cab terminal (ISO 11783-10), versions 4 and 3"),
        ("calendar", "booking.ics, the days to book, marked tentative [season]"),
        ("all", "all of these, but no calendar if there are no days to book"),
        (
            "manifest.json",
            "is always written and lists the files with their hashes. The same plan on the same day gives "
            "the same bytes.",
        ),
        ("[sheets] and the like", "pip install 'fieldplan[sheets]', or 'fieldplan[all]' for every extra"),
    ),
}
