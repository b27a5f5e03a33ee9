"""Daily records in every layout: values, units, flags, and what is refused."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from weather_records import STATION, plain_csv

from fieldplan.errors import InputError
from fieldplan.model.weather import Record
from fieldplan.weather.reading import Reading, record_of

LONG = (
    f"{STATION},20200401,PRCP,254,,,7,0700\n"
    f"{STATION},20200402,PRCP,0,T,,7,0700\n"
    f"{STATION},20200403,PRCP,5,,I,7,0700\n"
    f"{STATION},20200404,PRCP,-9999,,,,\n"
    f"{STATION},20200405,PRCP,0,P,,7,0700\n"
    f"{STATION},20200406,PRCP,12,,,7,1700\n"
    f"{STATION},20200401,TMAX,183,,,7,0700\n"
    f"{STATION},20200401,TMIN,-50,,,7,0700\n"
    f"{STATION},20200401,AWND,31,,,W,\n"
)
WIDE_HEADER = '"STATION","DATE","LATITUDE","LONGITUDE","ELEVATION","NAME","PRCP","PRCP_ATTRIBUTES","TMAX","TMAX_ATTRIBUTES","TMIN","TMIN_ATTRIBUTES"\n'
WIDE = WIDE_HEADER + "".join(
    f'"{STATION}","2020-04-{day:02}","40.0","-97.0","400.0","SOMEWHERE 2 N, NE US",{cells}\n'
    for day, cells in (
        (1, '"  254",",,7,0700","  183",",,7,0700","  -50",",,7,0700"'),
        (2, '"    0","T,,7,0700",,,,'),
        (3, '"    5",",I,7,0700",,,,'),
        (5, '"    0","P,,7,0700",,,,'),
        (6, '"   12",",,7,1700",,,,'),
    )
)


def _dly(element: str, values: dict[int, str], month: str = "202004") -> str:
    """A line with fixed columns: five of the value, one for each flag."""
    cells = "".join(values.get(day, "-9999   ") for day in range(1, 32))
    return f"{STATION}{month}{element}{cells}\n"


DLY = (
    _dly("PRCP", {1: "  254  7", 2: "    0T 7", 3: "    5 I7", 5: "    0P 7", 6: "   12  7"})
    + _dly("TMAX", {1: "  183  7"})
    + _dly("TMIN", {1: "  -50  7"})
)
ORDERED = WIDE.replace('"  254"', '"1.00"').replace('"    0"', '"0.00"').replace('"    5"', '"0.02"')
ORDERED = ORDERED.replace('"   12"', '"0.05"').replace('"  183"', '"65"').replace('"  -50"', '"23"')


@pytest.mark.parametrize(
    ("text", "layout", "units"),
    [(LONG, "long", ""), (DLY, "dly", ""), (WIDE, "wide", ""), (ORDERED, "ordered", "in, F")],
    ids=["long", "dly", "wide", "ordered"],
)
def test_four_layouts_are_one_record(text: str, layout: str, units: str) -> None:
    """The same days in all layouts of GHCN-Daily: 25.4 mm, a trace, a failed check, a gap, a presumed zero."""
    found = record_of(text, "r", Reading(units=units))
    assert found.layout == layout
    assert (found.first, found.station) == (date(2020, 4, 1), STATION)
    near = 0.1 if layout == "ordered" else 1e-9
    assert found.rain_mm[:6] == pytest.approx([25.4, 0, np.nan, np.nan, np.nan, 1.2], nan_ok=True, abs=near)
    assert (found.tmax_c[0], found.tmin_c[0]) == pytest.approx((18.3, -5.0), abs=near)
    treated = found.treated
    assert (treated.n_failed, treated.n_traces, treated.n_presumed) == (1, 1, 1)


def test_a_header_in_any_spelling() -> None:
    """Cloud copies of the long layout have one, with _ or - and in capitals or not."""
    for header in (
        "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\n",
        "id,date,element,value,m-flag,q-flag,s-flag,obs-time\n",
    ):
        assert record_of(header + LONG, "r").rain_mm[0] == pytest.approx(25.4)


def test_what_is_presumed_zero_may_count_as_none() -> None:
    """Where the user says so; it is counted all the same."""
    found = record_of(LONG, "r", Reading(presumed_zero=True))
    assert found.rain_mm[4] == 0
    assert found.treated.n_presumed == 1


def test_rain_may_be_filed_under_the_day_before() -> None:
    """Morning readings hold the rain of the day before; the share of them is told."""
    found = record_of(LONG, "r", Reading(day_before=True))
    assert found.rain_mm[:1] == pytest.approx([0.0])
    assert np.isnan(found.rain_mm[-1])
    assert (found.treated.n_morning, found.treated.n_timed) == (2, 3)


def test_a_total_of_several_days_leaves_each_of_them_missing() -> None:
    """Three days in one reading: none of them is dry, nor has all of the rain."""
    text = LONG + f"{STATION},20200409,MDPR,300,,,7,0700\n{STATION},20200409,DAPR,3,,,7,0700\n"
    text += f"{STATION},20200407,PRCP,0,,,7,0700\n{STATION},20200410,PRCP,0,,,7,0700\n"
    found = record_of(text, "r")
    assert np.isnan(found.rain_mm[6:9]).all()
    assert found.rain_mm[9] == 0
    assert found.treated.n_several_days == 3


def test_days_that_no_row_has_are_missing() -> None:
    """Missing is never dry."""
    text = (
        plain_csv(date(2020, 4, 1), date(2020, 4, 3))
        + plain_csv(date(2020, 4, 6), date(2020, 4, 7)).split("\n", 1)[1]
    )
    found = record_of(text, "r")
    assert list(np.isnan(found.rain_mm)) == [False, False, False, True, True, False, False]


@pytest.mark.parametrize(
    ("text", "rain_mm", "high_c"),
    [
        ("date,rain_in,tmax_f\n2020-04-01,1,50\n", 25.4, 10),
        ("date;Rain (mm);Tmax (C)\n20200401;25,4;10\n".replace("25,4", "25.4"), 25.4, 10),
        ("Day Month Year Tmin(C) Tmax(C) Prcp(mm) Et0(mm)\n1 4 2020 1.0 10.0 25.40 1.5\n", 25.4, 10),
        ("date\tprecipitation_cm\ttmax_c\n2020-04-01\t2.54\t10\n", 25.4, 10),
    ],
)
def test_plain_tables_name_their_units(text: str, rain_mm: float, high_c: float) -> None:
    """Commas, semicolons, blanks or tabs; a day or year, month and day."""
    found = record_of(text, "r")
    assert (found.rain_mm[0], found.tmax_c[0]) == pytest.approx((rain_mm, high_c))


def test_units_may_be_said_where_a_table_does_not() -> None:
    """For all columns without their own."""
    found = record_of("date,rain,tmax_c\n2020-04-01,1,10\n", "r", Reading(units="in, F"))
    assert (found.rain_mm[0], found.tmax_c[0]) == pytest.approx((25.4, 10))


def test_one_of_several_stations_is_read() -> None:
    """The one that is named."""
    other = LONG.replace(STATION, "USC00000002").replace(",254,", ",100,")
    found = record_of(LONG + other, "r", Reading(station="USC00000002"))
    assert found.rain_mm[0] == pytest.approx(10.0)


def test_soil_temperature_near_seeding_depth() -> None:
    """The lowest of the day at 5 or 10 cm; deeper soil is not read."""
    text = (
        LONG
        + f"{STATION},20200401,SN31,72,,,7,\n{STATION},20200401,SX31,95,,,7,\n{STATION},20200401,SN34,50,,,7,\n"
    )
    found = record_of(text, "r")
    assert (found.soil_element, found.soil_c[0]) == ("SN31", pytest.approx(7.2))


GSOD = (
    "STATION,DATE,LATITUDE,LONGITUDE,ELEVATION,NAME,TEMP,TEMP_ATTRIBUTES,MAX,PRCP,PRCP_ATTRIBUTES,FRSHTT\n"
)
YEARS = (date(2001, 1, 1), date(2004, 12, 31))
REFUSED = [
    ("", "weather-empty"),
    ("hello\nworld\n", "weather-layout"),
    (GSOD, "weather-summary-of-day"),
    ("date,rain\n2020-04-01,1\n", "weather-units"),
    (ORDERED, "weather-units"),
    (
        WIDE.replace('"  254"', '"254"')
        .replace('"  183"', '"183"')
        .replace('"  -50"', '"-50"')
        .replace('"    0"', '"0"')
        .replace('"    5"', '"5"')
        .replace('"   12"', '"12"'),
        "weather-units",
    ),
    (LONG + LONG.replace(STATION, "USC00000002"), "weather-stations"),
    (LONG + f"{STATION},20200401,PRCP,200,,,7,0700\n", "weather-day-twice"),
    (LONG + f"{STATION},2020041,PRCP,200,,,7,0700\n", "weather-line"),
    (LONG + f"{STATION},20200431,PRCP,200,,,7,0700\n", "weather-line"),
    (LONG + f"{STATION},20200407,PRCP,2.5,,,7,0700\n", "weather-line"),
    (f"{STATION},20200401,TMAX,183,,,7,0700\n", "weather-no-rain"),
    (_dly("PRCP", {31: "   12  7"}), "weather-line"),
    ("date,rain_mm\n04/01/2020,1\n", "weather-date"),
    ("date,rain_mm\n2020-04,1\n", "weather-date"),
    ("date,rain_mm\n2020-04-01T06:00,1\n", "weather-date"),
    ("date,rain_mm\n2020-04-01,wet\n", "weather-line"),
    ("date,rain_mm\n2020-04-01\n", "weather-line"),
    ("date,rain_mm,prcp_mm\n2020-04-01,1,2\n", "weather-column-twice"),
    ("date,rain_mm\n2020-04-01,-1\n", "weather-unlikely"),
    ("date,rain_mm\n2020-04-01,2540\n", "weather-unlikely"),
    (plain_csv(*YEARS, lambda _: (0.1, 20, 10)), "weather-unlikely"),
    (plain_csv(*YEARS, lambda _: (12, 95, 10)), "weather-unlikely"),
    (plain_csv(*YEARS, lambda _: (12, 10, 20)), "weather-unlikely"),
    ("date,rain_mm\n1700-04-01,1\n2020-04-01,1\n", "weather-too-long"),
]


@pytest.mark.parametrize(("text", "code"), REFUSED)
def test_what_is_no_such_record_is_refused_with_the_reason(text: str, code: str) -> None:
    """The file and what is wrong with it."""
    with pytest.raises(InputError) as caught:
        record_of(text, "station.csv")
    (fault,) = caught.value.problems
    assert fault.code == code
    assert "station.csv" in str(caught.value)


def test_a_station_that_is_not_there() -> None:
    """Named, and missing."""
    with pytest.raises(InputError, match="USC00000009"):
        record_of(LONG, "r", Reading(station="USC00000009"))


def test_single_days_with_crossed_temperatures_are_missing() -> None:
    """The highest below the lowest on one day of many: both are missing there, and it is counted."""

    def weather(day: date) -> tuple[float, float, float]:
        return (12.0, 5.0, 9.0) if day == YEARS[0] else (12.0, 20.0, 10.0)

    found: Record = record_of(plain_csv(*YEARS, weather), "r")
    assert np.isnan(found.tmax_c[0])
    assert found.treated.n_crossed == 1
