"""What ``fieldplan region --help`` explains besides its options."""

from __future__ import annotations

from fieldplan.cli.explained import Rows

SECTIONS: dict[str, Rows] = {
    "Files in DIR": (
        ("fields/*.parquet", "One row a parcel: acres, passes, turns, refills, hours, seed, codes."),
        ("passes/*.parquet", "With --passes: one row a pass or piece of a headland round."),
        ("summary.json, .csv, .xlsx", "Sums in all and by each value of each --by."),
        ("drills.csv", "Drills, days and odds for the whole and for each group."),
        ("seed.csv", "Seed by lot, and whole bags to order."),
        ("map.svg", "Hours on a map."),
        ("region.json", "What the folder was begun with. Another job or file is refused."),
        (
            "units",
            "All tables and parquet files are in SI, with the unit at the end of each column's name; --units is for the page and the map.",
        ),
    ),
    "Good to know": (
        (
            "a sample",
            "Needs a folder of its own: the run over all parcels begins anew in another. The largest parcels are all taken, the others are drawn by size. The same file and number draw the same parcels.",
        ),
        (
            "each by itself",
            "Every parcel is a job of its own: seed left over and moves between parcels do not count.",
        ),
        (
            "search",
            "--search quick takes less than half the time; fields then take about 1 % longer in all, single ones up to 4 %, narrow ones more.",
        ),
        ("overlaps", "Are not looked for across the file."),
        (
            "code",
            "Says why a parcel is not planned, as fieldplan check and plan do; worker-lost and time-limit name one that stops the planner.",
        ),
        ("results", "Do not depend on the number of workers."),
        ("drills needed", "Are told if [booking] has start and finish_by."),
    ),
}
