"""Every golden page of a command: its name, the line that prints it, and the written file that it shows, if
it is one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import click
from golden.bench import Bench, stable
from golden.files import as_text, json_text

from fieldplan.cli.main import fieldplan

SYSTEMS = ("us", "metric")
_S = "sample_fields"
_TODAY = "--today 2027-04-01"
_FARM, _PONDS, _PIVOT = (
    f"{_S}/{name} --job {_S}/farm.toml {_TODAY}" for name in ("farm.geojson", "ponds.gpkg", "pivot.kml")
)
_PARCELS = f"{_S}/restoration.zip --job {_S}/restoration.toml {_TODAY}"
_RICH = f"{_S}/ponds.gpkg --job rich.toml {_TODAY}"
_TROUBLE = f"trouble.geojson --job trouble.toml {_TODAY} --exclusions wet.geojson"
_BY_HAND = '--rate "25 lb/ac bulk" --spacing "7.5 in" --rows 16'
_SEASON = f"{_S}/season.toml"
_LEDGER = f"season record {_SEASON} --from {_S}/records.csv --ledger spring.ledger"
_BOOKINGS = f"season plan {_SEASON} --what-if --units us --out season-us"
_RAIN = f'season rain {_SEASON} --was season-us/season.json --today 2027-04-27 --lost 2027-04-28 --lost 2027-04-29 --done "R05=40 %"'
_OUTPUTS = (
    "json,gpkg,page,cover,sheet,setup,labels,order,svg,timeline,geojson,kml,gpx,calendar,taskdata,fiboa"
)
_LIVING = "--ledger living.ledger"

IN_BOTH = {
    "plan-farm": f"plan {_FARM}",
    "plan-ponds-all-refills": f"plan {_PONDS} -v",
    "plan-pivot-quiet": f"plan {_PIVOT} -q",
    "plan-restoration": f"plan {_PARCELS}",
    "plan-farm-plain": f'plan {_FARM} --heading "45 deg" --blocks 1 --order plain',
    "plan-all-that-is-posted": f"plan {_RICH}",
    "plan-trouble": f"plan {_TROUBLE}",
    "plan-trouble-quiet": f"plan {_TROUBLE} -q",
    "plan-weather": f"plan {_S}/ponds.gpkg --job weather.toml {_TODAY}",
    "check-farm": f"check {_S}/farm.geojson",
    "check-restoration": f"check {_S}/restoration.zip",
    "check-pivot": f"check {_S}/pivot.kml",
    "check-excluded": 'check trouble.geojson --exclusions wet.geojson --set-back "10 ft"',
    "check-with-a-job": f"check {_S}/restoration.zip --job {_S}/restoration.toml {_TODAY}",
    "seed-farm": f"seed {_FARM}",
    "species": 'species swichgrass "sideoats grama" TRAE "moon grass"',
    "seed-restoration-labels": f"seed {_PARCELS} --labels",
    "seed-all-that-is-posted": f"seed {_RICH}",
    "setup-farm": f"setup --job {_S}/farm.toml",
    "setup-dry-prairie": f'setup --job {_S}/restoration.toml --mix "dry prairie"',
    "setup-wet-meadow": f'setup --job {_S}/restoration.toml --mix "wet meadow"',
    "setup-all-that-is-posted": "setup --job rich.toml",
    "calibrate-farm": f"calibrate --job {_S}/farm.toml",
    "calibrate-mix": f'calibrate --job {_S}/restoration.toml --mix "dry prairie" --distance "150 ft"',
    "calibrate-turns": f'calibrate {_BY_HAND} --turns 20 --wheel "8 ft" --slip "6 %"',
    "calibrate-caught": f'calibrate --job {_S}/farm.toml --box grain --caught "212 g" --tubes 4',
    "calibrate-setting": f'calibrate --job {_S}/farm.toml --box small --caught "1.4 oz" --tubes 8 --setting 9',
    "calibrate-chart": 'calibrate --job rich.toml --box grain --caught "560 g" --tubes 4 --setting 45 --range low --turns 10',
    "calibrate-outside-chart": 'calibrate --job rich.toml --box grain --caught "1 kg" --tubes 4 --setting 45',
    "fee-by-hand": f"fee {_S}/rates.toml --meter-acres 45 --days 5 --paid-after 20",
    "fee-of-a-plan": f"fee {_S}/rates.toml {_FARM} --when area=outside --when cleaned=no --paid-after 70",
    "compare-speeds": f'compare {_PONDS} --speed "3.5 mph" --day "10 h" --crews 2',
    "compare-weather": f"compare {_S}/ponds.gpkg --job weather.toml {_TODAY} --book 3 --book 6 --start 2027-05-17 --weather-years 2005-2012",
    "compare-jobs": f"compare {_PONDS} --job rich.toml",
    "progress-farm": f'progress {_FARM} --metered "84 ac" --worked "21 h" --left "oats=11400 lb" --left "alfalfa=1000 lb" --days-left 17',
    "progress-done": f'progress {_FARM} --metered "46 ac" --worked "14 h" --done ell --days-left 9',
    "progress-forecast": f'progress {_S}/ponds.gpkg --job weather.toml --today 2027-05-06 --metered "20 ac" --worked "6 h" --days-left 8 --forecast "wet until Saturday"',
    "progress-stock": f'progress {_FARM} --metered "84 ac" --worked "21 h" --left "oats=11400 lb" --left "alfalfa=1000 lb" --stock {_S}/stock.csv --tag "QF-3071=germination 70 %, hard 5 %"',
    "mix": f"mix {_S}/target.toml",
    "stock-list": f"stock list {_S}/stock.csv {_TODAY}",
    "stock-need": f"stock need {_S}/stock.csv {_FARM}",
    "weather-station": f"weather {_S}/station.csv --drainage medium --lat 44.6 --survey Iowa",
    "acres-farm": f"acres {_S}/farm.geojson",
    "acres-restoration": f"acres {_S}/restoration.zip",
    "region-dry-run": f"region {_S}/restoration.zip --job {_S}/restoration.toml --dry-run --by mix",
    "region-farm": f"region {_S}/farm.geojson --job {_S}/farm.toml --workers 1",
    "season-plan": _BOOKINGS.removesuffix(" --units us --out season-us"),
    "season-plan-confirmed": "season plan small/season.toml --what-if --ledger small.ledger",
    "season-plan-shared": "season plan small/season.toml --what-if",
    "season-plan-weather": "season plan small/weather.toml --what-if",
    "season-capacity-weather": "season capacity small/weather.toml",
    "season-rain": _RAIN,
    "season-plan-living": f"season plan small/season.toml --what-if {_LIVING}",
    "season-rain-living": f"season rain small/season.toml --today 2027-05-03 --lost 2027-05-05 {_LIVING}",
    "season-renters": f"season renters small/season.toml --day 2027-06-30 {_LIVING}",
    "season-capacity": "season capacity small/season.toml --weathers 100",
    "season-letters": f"season letters small/season.toml --day 2027-04-29 {_LIVING}",
    "season-letters-text": f"season letters small/season.toml --day 2027-04-29 {_LIVING} --text",
    "season-letters-written": f"season letters {_SEASON} invoice payment --day 2027-06-20 --ledger written-UNITS.ledger",
    "season-capacity-region": 'season capacity small/season.toml --weathers 100 --region small/county --ground "160 ac"',
    "season-invoice": f"season invoice {_SEASON} R10 --ledger spring.ledger --day 2027-06-10",
    "season-packet": f"season packet {_SEASON} R03 --ledger spring.ledger",
    "season-packet-lacking": f"season packet {_SEASON} R16 --ledger lacking.ledger",
    "season-board": f"season board {_SEASON} --ledger spring.ledger --day 2027-06-30",
    "season-years": "season years small/year.toml --day 2027-06-30 --price 28000 --life 12",
    "season-board-counties": f"season board {_SEASON} --ledger spring.ledger --day 2027-05-20 --by county",
}
"""Pages of commands that know ``--units``."""

ONCE = {
    "init": "init started",
    "desk-no-folder": f"desk --no-browser --port 0 --folder {_S}/farm.toml",
    "season-record": f'season record {_SEASON} out request=R16 drill=prairie day=2027-05-06 meter="420.3 ac" --ledger lacking.ledger',
    "season-record-list": _LEDGER,
    "season-plan-entered": "season plan small/season.toml --ledger entered.ledger",
    "season-rain-entered": "season rain small/season.toml --today 2027-04-26 --ledger rained.ledger",
    "season-offers": f"season offers small/season.toml {_LIVING}",
    "season-forget": "season forget small/season.toml R05 --ledger forgotten.ledger",
    "season-takeover": "season takeover small/season.toml --was was-small/season.json --ledger taken.ledger",
    "season-strike": "season record small/season.toml strike corrects=12 day=2027-06-01 why=slip --ledger struck.ledger",
    "season-ledger-living": f"season ledger small/season.toml {_LIVING}",
    "season-templates": "season templates words",
    "season-ledger-check": f"season ledger {_SEASON} --check --ledger spring.ledger",
    "season-ledger": f"season ledger {_SEASON} --ledger spring.ledger",
    "stock-draw-us": f'stock draw shelf-us.csv {_FARM} --as "farm 2027" --units us',
    "stock-draw-metric": f'stock draw shelf-metric.csv {_FARM} --as "farm 2027" --units metric',
    "stock-record": f'stock record shelf-written.csv counted species=oats lot=QF-2214 weight="8950 lb" {_TODAY}',
    "stock-undo": "stock undo shelf-undone.csv",
    "stock-list-csv": f"stock list {_S}/stock.csv --csv",
    "season-ledger-csv": f"season ledger {_SEASON} --ledger spring.ledger --csv",
}
"""Pages of commands that do not."""

AS_JSON = {
    "plan-weather": IN_BOTH["plan-weather"],
    "compare-weather": IN_BOTH["compare-weather"],
    "progress-forecast": IN_BOTH["progress-forecast"],
    "weather-station": IN_BOTH["weather-station"],
    "plan-ponds": f"plan {_PONDS}",
    "plan-trouble": f"plan {_TROUBLE}",
    "check-restoration": f"check {_S}/restoration.zip",
    "check-with-a-job": f"check {_S}/restoration.zip --job {_S}/restoration.toml {_TODAY}",
    "seed-farm": f"seed {_FARM}",
    "species": 'species swichgrass "sideoats grama" TRAE "moon grass"',
    "setup-farm": f"setup --job {_S}/farm.toml",
    "calibrate-chart": IN_BOTH["calibrate-chart"],
    "fee-of-a-plan": IN_BOTH["fee-of-a-plan"],
    "compare-speeds": IN_BOTH["compare-speeds"],
    "progress-farm": IN_BOTH["progress-farm"],
    "acres-restoration": IN_BOTH["acres-restoration"],
    "season-rain": _RAIN,
    "progress-stock": IN_BOTH["progress-stock"],
    "mix": IN_BOTH["mix"],
    "stock-list": IN_BOTH["stock-list"],
    "stock-need": IN_BOTH["stock-need"],
    "season-rain-living": IN_BOTH["season-rain-living"],
    "season-offers": ONCE["season-offers"],
    "season-letters": IN_BOTH["season-letters"],
    "season-ledger-check": ONCE["season-ledger-check"],
    "season-renters": IN_BOTH["season-renters"],
    "season-ledger": ONCE["season-ledger"],
    "season-invoice": IN_BOTH["season-invoice"],
    "season-packet": IN_BOTH["season-packet"],
    "season-board": IN_BOTH["season-board"],
}
"""What ``--json`` prints: SI in either system."""

OF_PLAN = (
    "plan.gpkg",
    "plan.html",
    "cover.pdf",
    "field-sheets.pdf",
    "setup-dry-prairie.pdf",
    "seed-labels.pdf",
    "seed-order.xlsx",
    "map-rp-1.svg",
    "picture-hours.svg",
    "picture-odds.svg",
    "plan.kml",
    "plan.gpx",
    "booking.ics",
)
OF_PLAN_ONCE = (
    "timeline.csv",
    "layer-fields.geojson",
    "fiboa.geojson",
    "taskdata-v4.zip",
    "taskdata-v3.zip",
)
OF_SEASON = ("hand-over.pdf", "month-board.pdf", "season.xlsx", "season.svg")
OF_SEASON_ONCE = ("season.json", "bookings.csv", "drill-ten-foot.ics", "renter-r03.ics")
PAPERS = {
    "season-invoice": "invoice-r10.pdf",
    "season-packet": "packet-r03.pdf",
    "season-board": "board.pdf",
    "season-capacity": "capacity.pdf",
}
_CONFIRMED = 'season record small/season.toml confirm request=R05 drill="ten foot" day=2027-04-15 first=2027-05-03 --ledger small.ledger'
_SMALL_WAS = "season plan small/season.toml --what-if --out was-small"


_BEGUN = "record small/season.toml met request=R05 what=agreement day=2027-04-01"


def _happened(ledger: str, *entries: str) -> tuple[str, ...]:
    """A store that is begun with an entry, a plan of the small season, and entries after it."""
    lines = (_BEGUN, "plan small/season.toml", *(f"record small/season.toml {entry}" for entry in entries))
    return tuple(f"season {line} --ledger {ledger}" for line in lines)


_YES = tuple(f"confirm request={name} day=2027-04-10" for name in ("R05", "R08", "R10"))
_RECORDED = {
    "living.ledger": _happened(
        "living.ledger",
        *_YES,
        "lost day=2027-04-30 why=rain",
        'out request=R05 drill="ten foot" day=2027-04-24 meter="100 ac"',
        'in request=R05 day=2027-04-26 meter="108 ac"',
        'withdraw request=R08 day=2027-04-26 why="sold the field"',
    ),
    "small/year.toml": _happened(
        "small/year.ledger",
        *_YES,
        'down drill="ten foot" day=2027-04-20 until=2027-04-22 what="hose burst"',
        'repair drill="ten foot" day=2027-04-21 cost=$84.50 what="new hose" works=2027-04-22',
        'out request=R05 drill="ten foot" day=2027-04-24 meter="9995 ac"',
        'in request=R05 day=2027-04-27 meter="3.4 ac" turns_at="10000 ac"',
        'refused request=R08 day=2027-04-28 why="no days left"',
    ),
    "rained.ledger": _happened("rained.ledger", *_YES, "lost day=2027-04-28 until=2027-04-29 why=rain"),
    "forgotten.ledger": _happened("forgotten.ledger", *_YES),
    "struck.ledger": _happened("struck.ledger", *_YES),
    "entered.ledger": (f"season {_BEGUN} --ledger entered.ledger",),
    "was-small/": (_SMALL_WAS,),
    "small.ledger": (_CONFIRMED,),
    "spring.ledger": (_LEDGER,),
    **{
        f"written-{units}.ledger": (_LEDGER.replace("spring.ledger", f"written-{units}.ledger"),)
        for units in SYSTEMS
    },
    "lacking.ledger": (ONCE["season-record"],),
    "season-us/": (_BOOKINGS,),
}
"""What must have been run before a line that names it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """One file under ``pages/``: what a command line prints, or the text of a file that it writes."""

    name: str
    line: str
    file: str = ""

    def text(self, bench: Bench) -> str:
        """The page as it is now."""
        for named, lines in _RECORDED.items():
            for line in lines if named in self.line and self.line not in lines else ():
                bench.run(line)
        ran = bench.run(self.line)
        if self.file:
            return f"$ fieldplan {self.line}\n--- {self.file}\n{stable(as_text(bench.folder / self.file))}"
        return (
            f"$ fieldplan {self.line}\n{json_text(ran.out)}{ran.err}"
            if "--json" in self.line
            else ran.sentence
        )


def _in(name: str, units: str) -> str:
    """The line of a page in a system; papers are written with it, where they are looked at too."""
    folder = {"season-plan": "season", "region-farm": "region", "season-letters-written": "letters"}.get(
        name, "papers" if name in PAPERS else ""
    )
    line = IN_BOTH[name].replace("UNITS", units)
    return f"{line} --units {units}" + (f" --out {folder}-{units}" if folder else "")


def _printed() -> Iterator[Page]:
    for name in IN_BOTH:
        for units in SYSTEMS:
            yield Page(name=f"{units}/{name}", line=_in(name, units))
    yield from (Page(name=f"once/{name}", line=line) for name, line in ONCE.items())
    yield from (Page(name=f"json/{name}", line=f"{line} --json") for name, line in AS_JSON.items())


def _written() -> Iterator[Page]:
    for units in SYSTEMS:
        plan = f"plan {_PARCELS} -q --units {units} --out plan-{units} --write {_OUTPUTS}"
        season = _in("season-plan", units)
        once = units == SYSTEMS[0]
        for file in OF_PLAN + OF_PLAN_ONCE * once:
            yield Page(
                name=f"{'once' if file in OF_PLAN_ONCE else units}/files-{file}",
                line=plan,
                file=f"plan-{units}/{file}",
            )
        for file in OF_SEASON + OF_SEASON_ONCE * once:
            yield Page(
                name=f"{'once' if file in OF_SEASON_ONCE else units}/files-{file}",
                line=season,
                file=f"season-{units}/{file}",
            )
        for name, file in PAPERS.items():
            yield Page(name=f"{units}/files-{file}", line=_in(name, units), file=f"papers-{units}/{file}")
        line = _in("season-letters-written", units)
        for ending in ("pdf", "txt"):
            file = f"2027-06-20-invoice-r10.{ending}"
            yield Page(name=f"{units}/files-letter.{ending}", line=line, file=f"letters-{units}/{file}")
    yield Page(name="once/files-payment.txt", line=ONCE["season-templates"], file="words/payment.txt")
    yield Page(name="once/files-job.toml", line=ONCE["init"], file="started/job.toml")


def commands(group: click.Group = fieldplan, path: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    """Every command of the command line, groups too, as the words that call it."""
    yield path
    context = click.Context(group)
    for name in group.list_commands(context):
        found = group.get_command(context, name)
        if isinstance(found, click.Group):
            yield from commands(found, (*path, name))
        else:
            yield (*path, name)


def _help() -> Iterator[Page]:
    for words in commands():
        yield Page(name=f"help/{'-'.join(words) or 'fieldplan'}", line=" ".join((*words, "--help")))


PAGES = (*_printed(), *_written(), *_help())
