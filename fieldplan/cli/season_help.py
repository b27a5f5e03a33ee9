"""What the help of ``fieldplan season plan`` explains."""

from __future__ import annotations

from fieldplan.cli.explained import Rows

PLAN_SECTIONS: dict[str, Rows] = {
    "SEASON.toml": (
        (
            "[season]",
            "opens, closes, requests (the list below), confidence, longest_booking, notice, inspection",
        ),
        (
            "serve_first",
            'The rules, in order: "county = Thistle" serves those before others, "asked" the earliest first. '
            "Any column of the list can decide.",
        ),
        (
            "share_days",
            "true: two short jobs may have a drill on the same days if their hours, the hand-over and the road "
            "between them fit in one working day. All papers name who has it first.",
        ),
        ("rate_card", "For invoices and reports."),
        ("distances", "A CSV of road distances with the columns from, to, miles."),
        (
            "weather",
            "A daily weather record, with [weather] as in a job file: all drills go through the same years.",
        ),
        (
            "early_by_rules",
            "true: the rules also decide who is early. Otherwise all wait as few days together as possible.",
        ),
        (
            "before_out",
            'What must be in order before a drill goes out, such as ["agreement", "insurance", "training", '
            '"deposit = $100", "tractor", "mix", "standing"]. Nothing is required that is not named.',
        ),
        ("earlier", 'Earlier seasons, for what renters owe and have shown: ["../2026"].'),
        ("id", "What tells the season from all others in calendars.  [default: name and first day]"),
        ("letterhead", "Lines at the top of papers."),
        ("templates", "The folder of your own templates of letters (season templates writes them out)."),
        ("[[drill]]", "One for each drill: name, job (its job file), home, days_off."),
    ),
    "The list of requests (a spreadsheet saved as CSV, one row each)": (
        ("request, renter", "A short name for the request, and who rents."),
        (
            "renter_id",
            "An id of the renter, such as H12: two of one name are two, and are found again next year.",
        ),
        ("asked, ready, until", "Dates: of asking, and the first and last day that suit."),
        ("fields", "A boundary file; or acres with lat and lon instead."),
        ("mix or boxes", "The seed mix of the job file, or the boxes that are used."),
        ("tractor_hp", "The tractor's PTO power."),
        ("practice, farm, tract", "Go into the papers."),
        (
            "phone",
            "Is shown only to the clerk. Names, phone, email and address stand beside the entries, not in them.",
        ),
        ("any other column", "Can be used by the rules and by season board --by."),
    ),
    "Files (--out)": (
        ("season.json, .csv, .xlsx", "The bookings."),
        ("a picture", "One lane for each drill."),
        ("month-board.pdf", "A page for each month, for the wall."),
        ("hand-over.pdf", "Check-out and return sheets with the clean-out."),
        (
            "calendars",
            "One for each drill and each renter, by the renter's id, with names and days only, tentative until the "
            "booking is confirmed. Imported again they update; what is gone or moved is cancelled.",
        ),
    ),
}
