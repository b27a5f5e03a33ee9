"""Sentences about the planning page: its jobs, and how they are kept."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

PHRASES: dict[str, Phrase] = {
    "called/desk": Phrase("file of the planning page"),
    "desk-bug": Phrase(
        "The plan failed by a fault of fieldplan ({why})",
        hint="report it, if you can with the files of the job",
    ),
    "desk-map-other": Phrase(
        "was not written by the planning page: it has other layers than {layers*, } in longitude and latitude",
        hint="give it another name, open the job, and choose it as boundary file",
    ),
    "desk-name": Phrase(
        '"{given}" cannot be the name of a job',
        hint="at most {n_most} letters, digits, spaces and signs such as - and &, beginning with a letter or digit",
    ),
    "desk-name/file": Phrase('"{given}" cannot be a file beside a job', hint="another name"),
    "desk-name/no-folder": Phrase(
        '"{given}" is a link or a file, not the folder of a job', hint="another name"
    ),
    "desk-newer": Phrase(
        "This job was made by fieldplan {made_by}, which is newer than this one ({version}): it can be looked at, "
        "and nothing is saved",
        hint="update fieldplan to change it, or change a copy of it (see Papers and files)",
    ),
    "desk-no-job": Phrase('There is no job "{given}"', hint="choose one from the list of jobs"),
    "desk-overtaken": Phrase(
        'The job "{name}" has been changed in another window; what you change here is not saved',
        hint="show the newer state, or keep yours as a job of its own",
    ),
    "desk-unreadable": Phrase(
        "cannot be read", hint="remove it; map and job file are in files of their own"
    ),
    "desk-worker-lost": Phrase(
        "The planning was stopped twice by the system, as when memory runs out",
        hint="plan fewer fields at once, or close other programs",
    ),
    "extra-for/desk": Phrase("fieldplan desk"),
    "file-outside": Phrase(
        "lies outside of {folder}; the page opens no file there",
        hint="put the {what} into the folder of the job",
    ),
    "port-taken": Phrase(
        "port {given} cannot be had ({why})",
        hint="--port 0 for any that is free; perhaps the page runs already",
    ),
}
