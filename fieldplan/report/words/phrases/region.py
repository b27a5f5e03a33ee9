"""Sentences about regions of many parcels."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

PHRASES: dict[str, Phrase] = {
    "called/region-state": Phrase("state of a region"),
    "extra-for/region": Phrase("fieldplan region"),
    "extra-for/cluster": Phrase("--scheduler"),
    "ground-without-region": Phrase(
        "goes with --region: a program sows a share of a region", hint="--region county"
    ),
    "job-for-half": Phrase(
        "goes with --job-for, and --job-for with it",
        hint='--job-field practice --job-for "cover crop=cover.toml"',
    ),
    "job-for-unreadable": Phrase(
        '"{given}" does not name a value and a job file', hint='--job-for "cover crop=cover.toml"'
    ),
    "parquet-encoding": Phrase(
        "holds outlines as {encoding}, not as well-known binary",
        hint="write it again with WKB geometries",
    ),
    "region-another": Phrase(
        "holds another region: it was begun with other {what*, }",
        hint="another folder for DIR, or --force to begin anew",
    ),
    "region-no-attribute": Phrase('has no attribute "{name}"', hint="<one of: {known*, }>"),
    "region-no-worker": Phrase(
        "No worker can begin: several ended before their first parcel",
        hint="--workers 1; a program that calls fieldplan needs if __name__ == '__main__'",
    ),
    "region-nowhere": Phrase("The result needs a folder", hint="--out county, or --dry-run"),
    "region-part-unreadable": Phrase(
        "is damaged", hint="delete it: the same command plans its parcels again"
    ),
    "region-state-unreadable": Phrase("is not what fieldplan wrote", hint="--force to begin anew"),
    "region-sums-other": Phrase(
        "is not what this version of fieldplan region writes",
        hint="fieldplan region again, with the same command: what is planned stays",
    ),
    "region-without-work": Phrase("has no parcel that is planned, so nothing to ask of drills"),
    "cluster-unreachable": Phrase(
        "finds no scheduler at {address} ({reason})", hint="start it, or leave --scheduler out"
    ),
    "cluster-without-nanny": Phrase(
        "A parcel of the region is past its time limit, and the workers of the cluster cannot be restarted",
        hint="start workers with a nanny, as dask worker does unless told otherwise",
    ),
    "workers-and-scheduler": Phrase(
        "does not go with --workers, for it has its own", hint="leave one of them out"
    ),
}
