"""What is to be said of the record, rule and survey that odds stand on."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from fieldplan.facts import Fact, Value, case_of, fact
from fieldplan.model.job import BookingTerms
from fieldplan.model.notes import Note
from fieldplan.model.weather import RainRule, Record, Rule, Wait
from fieldplan.model.weather_odds import Level, Reliability, WeatherTerms, YearsCounted
from fieldplan.model.work import Booking
from fieldplan.tables import read as tables
from fieldplan.weather.survey import surveyed_days

_ROUNDING = 1e-9


def weather_notes(booking: Booking, terms: BookingTerms) -> Iterator[Note]:
    """The notes on what the odds stand on: a record, or a chance beside what a survey reports."""
    yield from _surveyed(booking, terms)
    published, counted = terms.published, booking.counted
    if counted is None or terms.weather is None:
        if published is not None and not published.stands and terms.grounds == "typed":
            yield Note(
                code="weather-typed",
                values={
                    "fit_day_prob": terms.chance_prob,
                    "published_prob": published.prob,
                    "place": published.place,
                },
                sources=(published.source,),
            )
        return
    yield from record_notes(terms.weather, counted)
    if published is not None:
        yield Note(
            code="weather-state-beside",
            values={
                "fit_day_prob": counted.fit_frac,
                "published_prob": published.prob,
                "place": published.place,
            },
            sources=(published.source,),
        )
    if counted.chain_prob is not None and counted.independent_prob is not None:
        yield Note(
            code="weather-methods",
            values={
                "years_prob": booking.prob,
                "chain_prob": counted.chain_prob,
                "independent_prob": counted.independent_prob,
            },
        )


def _surveyed(booking: Booking, terms: BookingTerms) -> Iterator[Note]:
    """In how many years a weekly survey of the state had enough days, where there is one."""
    days = booking.suggested_days
    if not terms.state or terms.start is None or days is None:
        return
    each = surveyed_days(terms.state, terms.start, days)
    if each:
        yield Note(
            code="survey-years",
            values={
                "state": terms.state,
                "n_days": days,
                "n_needed": booking.fieldwork_days_needed,
                "n_met": sum(found >= booking.fieldwork_days_needed - _ROUNDING for found in each.values()),
                "n_years": len(each),
            },
            sources=(_series_source(terms.state),),
        )


def _series_source(state: str) -> str:
    name = state.strip().casefold()
    return next(row["source"] for row in tables.rows("survey_weeks") if row["state"].casefold() == name)


def record_notes(weather: WeatherTerms, counted: YearsCounted) -> Iterator[Note]:
    """The notes on a record: its years, the rule, the survey that sets its level, how reliable its odds are."""
    yield _on_years(weather.record, counted)
    yield _on_rule(counted.rule)
    if weather.level is not None and counted.level_days is not None:
        yield _on_level(weather, counted)
    if counted.reliability:
        yield _on_reliability(counted.reliability)
    if counted.halves_frac is not None:
        early, late = counted.halves_frac
        yield Note(code="weather-halves", values={"early_frac": early, "late_frac": late})
    if parts := tuple(_treated(weather.record)):
        yield Note(code="weather-treated", values={"parts": parts})


def study_notes(weather: WeatherTerms, record: Record) -> Iterator[Note]:
    """The notes on a record that is looked at by itself: its rules, and what was not taken as it stands."""
    yield from (_on_rule(rule) for rule in weather.rules)
    if parts := tuple(_treated(record)):
        yield Note(code="weather-treated", values={"parts": parts})


def _on_years(record: Record, counted: YearsCounted) -> Note:
    values: dict[str, Value] = {
        "n_years": len(counted.used),
        "record": Path(record.name).name,
        "station": record.station,
        "first_year": str(counted.used[0]),
        "last_year": str(counted.used[-1]),
    }
    if counted.dropped:
        values["dropped"] = fact(
            "years-dropped",
            limit_frac=1 - tables.weather_figure("days known of a season", "%") / 100,
            years=tuple(str(year) for year in counted.dropped),
        )
    if counted.n_unknown:
        values["unknown"] = fact("days-unknown", n_days=counted.n_unknown)
    return Note(code="weather-years", values=values)


def _on_rule(rule: Rule) -> Note:
    if not isinstance(rule, RainRule):
        return Note(
            code="weather-rule",
            case="soil",
            values={"drainage": rule.drainage.name},
            sources=rule.sources,
        )
    values: dict[str, Value] = {"day_rain_mm": rule.day_mm}
    if rule.own:
        values["waits"] = tuple(_wait(wait) for wait in rule.waits)
        return Note(code="weather-rule", case="own", values=values)
    if rule.two_days_mm is not None:
        values["two_rain_mm"] = rule.two_days_mm
    if rule.three_days_mm is not None:
        values["three_rain_mm"] = rule.three_days_mm
    return Note(code="weather-rule", case="rain", values=values, sources=rule.sources)


def _wait(wait: Wait) -> Fact:
    return fact("rule-wait", n_days=wait.days, after_rain_mm=wait.after_mm)


def _on_level(weather: WeatherTerms, counted: YearsCounted) -> Note:
    """The survey's days, the rule's, and those with the wait; a warning where no wait brings them together."""
    level, (alone, waited) = weather.level, counted.level_days or (0.0, 0.0)
    assert level is not None
    values: dict[str, Value] = {
        "place": level.place,
        "survey_days": level.days,
        "n_window": level.n_days(),
        "level_days": waited,
    }
    if _is_missed(level, waited):
        return Note(code="weather-level-missed", warning=True, values=values, sources=(level.source,))
    values["alone_days"] = alone
    values["wait"] = fact("level-wait/none")
    if counted.waits:
        waits = tuple(
            case_of("level-wait", "days", n_days=wait.days, after_rain_mm=wait.after_mm)
            for wait in counted.waits
        )
        values["wait"] = fact("level-wait", waits=waits)
    return Note(code="weather-level", values=values, sources=(level.source,))


def _is_missed(level: Level, days: float) -> bool:
    return abs(days - level.days) > tables.weather_figure("days off a survey", "%") / 100 * level.days


def _on_reliability(found: tuple[Reliability, ...]) -> Note:
    best, *others = found
    values: dict[str, Value] = {
        "rule": best.rule,
        "off_prob": best.off_prob,
        "stated_prob": best.stated_prob,
        "true_frac": best.true_frac,
        "n_cases": best.n_cases,
    }
    if others:
        values["others"] = fact(
            "reliability-others",
            rules=tuple(fact("reliability-of", rule=one.rule, off_prob=one.off_prob) for one in others),
        )
    return Note(code="weather-reliability", values=values)


def _treated(record: Record) -> Iterator[Fact]:
    of = record.treated
    if of.n_failed:
        yield fact("treated/failed", n_days=of.n_failed)
    if of.n_presumed:
        yield fact("treated/presumed", n_days=of.n_presumed)
    if of.n_several_days:
        yield fact("treated/several", n_days=of.n_several_days)
    if of.n_traces:
        yield fact("treated/traces", n_days=of.n_traces)
    if of.n_crossed:
        yield fact("treated/crossed", n_days=of.n_crossed)
    if of.n_timed and of.n_morning:
        yield fact("treated/morning", morning_frac=of.n_morning / of.n_timed)
