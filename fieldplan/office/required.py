"""What must be in order before a drill goes out: the rules of the season, and what earlier seasons know of its renters."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path

from fieldplan.errors import InputError
from fieldplan.facts import Fact, fact
from fieldplan.model.machine import Tractor
from fieldplan.model.records import Entry
from fieldplan.model.season import Season
from fieldplan.model.standing import Checked
from fieldplan.office.office import Office, open_office
from fieldplan.records.current_entries import current_entries
from fieldplan.records.requirements import Fit, Required, checked, requirements_of
from fieldplan.work.tractor import power_check


def required_of(office: Office) -> Required:
    """The requirements of a season, and what they are looked up in.

    Of earlier seasons count entries "met" that still hold by their own last day, and "standing"; renters are the same by
    their id in the list.

    Raises
    ------
    FieldplanError
        If a requirement or an earlier season cannot be read.
    """
    rules = requirements_of(office.program.terms.before_out, str(office.program.path))
    renters = {name: row.renter_id for name, row in office.standing.rows.items()}
    renters |= {request.request_id: request.renter_id for request in office.listed}
    earlier = tuple(one for office in earlier_offices(office) for one in _said(office)) if rules else ()
    return Required(rules=rules, renters=renters, fit=_fit(office), earlier=earlier)


def earlier_offices(office: Office) -> list[Office]:
    """The earlier seasons that the season's file names.

    Raises
    ------
    FieldplanError
        If one cannot be read, or names itself.
    """
    found = []
    for named in office.program.earlier:
        path = named / "season.toml" if named.is_dir() else named
        if path.resolve() == Path(office.program.path).resolve():
            raise InputError.of("earlier-itself", file=str(office.program.path))
        found.append(open_office(path, None, must_be=True))
    return found


def _said(office: Office) -> list[tuple[str, Entry]]:
    """What an earlier season says of renters that have an id of their own."""
    ids = {
        request.request_id: request.renter_id
        for request in office.every_request
        if request.renter_id != request.request_id
    }
    return [
        (ids[entry.request], entry)
        for entry in current_entries(office.entries)
        if entry.request in ids
        and (entry.kind == "standing" or (entry.kind == "met" and "until" in entry.facts))
    ]


def _fit(office: Office) -> Fit:
    requests = {request.request_id: request for request in office.requests}
    drills = {drill.name: drill for drill in office.program.drills}

    def fit(name: str, drill_name: str) -> Mapping[str, Fact | None]:
        request, drill = requests.get(name), drills.get(drill_name)
        if request is None or drill is None:
            return {"tractor": fact("open-not-known"), "mix": fact("open-not-known")}
        job = drill.job
        tractor: Fact | None = fact("open-tractor-not-given")
        if request.pto_power_w is not None:
            found = power_check(job.drill, Tractor(pto_power_w=request.pto_power_w))
            tractor = (
                fact("open-tractor", why=found.text, sources=found.sources)
                if found.verdict == "fail"
                else None
            )
        lacking = sorted(request.boxes - {box.kind for box in job.drill.boxes})
        mixes = {mix.name for mix in job.mixes}
        mix: Fact | None = None
        if lacking:
            mix = fact("drill-without-box", boxes=tuple(lacking))
        elif request.mix is not None and request.mix not in mixes:
            mix = fact("drill-without-mix", mix=request.mix, near="")
        return {"tractor": tractor, "mix": mix}

    return fit


def checked_bookings(office: Office, season: Season, day: date) -> dict[str, tuple[Checked, ...]]:
    """Each requirement of each booking of a season, by request; none where the drill is out or was back.

    Parameters
    ----------
    day
        Today; a booking still to come is looked at on its first day.
    """
    required = required_of(office)
    if not required.rules:
        return {}
    entries = current_entries(office.entries)
    return {
        placement.request.request_id: tuple(
            checked(
                required,
                placement.request.request_id,
                placement.drill,
                max(day, placement.days[0]),
                entries,
            )
        )
        for placement in season.placements
        if placement.request.request_id not in (*office.standing.out, *office.standing.back)
    }
