"""Every parcel of a large file planned by itself, for a notebook or a program."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from os import PathLike, fspath
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fieldplan.api.job import JobSource, read_job
from fieldplan.api.reader import hints, quantities_in
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.model.region import Region as RegionModel
from fieldplan.region.begin import engine_of, run_of
from fieldplan.region.columns import Row
from fieldplan.region.run import begun, parts_in, plan_rest
from fieldplan.region.sums import region_of, rows_of
from fieldplan.report.data.region import region_object, region_writers
from fieldplan.report.documents.region import region_document
from fieldplan.report.files import write_files
from fieldplan.report.text.document import document_text
from fieldplan.report.words.quantities import System

if TYPE_CHECKING:
    from geopandas import GeoDataFrame


class Region:
    """A region that is planned; made by `plan_region`.

    Attributes
    ----------
    model
        The sums, as data in SI.
    folder
        Where its rows are, as GeoParquet in ``fields``.
    """

    def __init__(self, model: RegionModel, folder: Path, units: System) -> None:
        self.model, self.folder, self._q = model, folder, quantities_in(units)

    def to_frame(self) -> GeoDataFrame:
        """All rows as a GeoDataFrame in EPSG:4326, one a parcel, with their codes; of a large region use `rows`."""
        import geopandas
        import pandas as pd

        parts = [geopandas.read_parquet(path) for path in parts_in(self.folder)]
        return geopandas.GeoDataFrame(
            pd.concat(parts, ignore_index=True), geometry="geometry", crs="EPSG:4326"
        )

    def rows(self) -> Iterator[Row]:
        """The rows one after the other, as mappings; no more than a part of them is in memory."""
        return rows_of(self.folder)

    def to_dict(self) -> dict[str, Any]:
        """What ``fieldplan region --json`` prints: the sums as nested dicts and lists, in SI."""
        return region_object(self.model)

    def text(self) -> str:
        """The whole page that ``fieldplan region`` prints."""
        return document_text(region_document(self.model, self._q))

    def __repr__(self) -> str:
        return self.text()


def plan_region(
    fields: str | PathLike[str],
    job: JobSource,
    out: str | PathLike[str],
    *,
    by: Sequence[str] = (),
    jobs: Mapping[str, JobSource] | None = None,
    job_field: str | None = None,
    drills: int = 1,
    sample: int | None = None,
    passes: bool = False,
    workers: int | None = None,
    scheduler: str | None = None,
    time_limit_s: float | None = None,
    terms: ReadingTerms | None = None,
    force: bool = False,
    units: System = "us",
) -> Region:
    """Plan every parcel of a file by itself into a folder, and add up; what is there already is not planned again.

    Workers are processes that begin with the calling program: guard a script with
    ``if __name__ == "__main__":``.

    Parameters
    ----------
    fields
        GeoParquet of any size, or another boundary file.
    job
        A job file, a mapping of its tables, or a `Job`.
    out
        The folder of the result, with the files that ``fieldplan region`` writes.
    by
        Attributes by whose values sums are made too.
    jobs, job_field
        Other jobs by the value of an attribute, and that attribute.
    drills
        Drills that share the work.
    sample
        Rows to draw by chance instead of planning all; sums are estimates then, with their standard error.
    passes
        Keep passes and headland rounds in ``passes``.
    workers, scheduler
        Processes of this machine, or the address of a Dask scheduler.
    time_limit_s
        Time of one parcel, or of 50 together; 600 s if not given.
    terms
        How the file is read.
    force
        Clear away another region in the folder.
    units
        "us" or "metric": the units in which the result describes itself.

    Raises
    ------
    FieldplanError
        If an input as a whole cannot be used, or the folder holds another region. What is wrong with one
        parcel is a code in its row.
    """
    q = quantities_in(units)
    if bool(jobs) != bool(job_field):
        raise TypeError("jobs and job_field go together")
    with hints():
        read = {"": read_job(job), **{value: read_job(other) for value, other in (jobs or {}).items()}}
        run = run_of(
            fspath(fields),
            read,
            Path(out),
            terms=terms or ReadingTerms(),
            job_field=job_field or "",
            n_sample=sample,
            with_passes=passes,
            by=by,
        )
        with begun(run, force=force):
            for _ in plan_rest(run, engine_of(workers, scheduler, time_limit_s)):
                pass
            model = region_of(run, by, drills)
        write_files(run.folder, region_writers(model, q), force=True)
    return Region(model, run.folder, units)
