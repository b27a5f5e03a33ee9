"""``fieldplan mix``: a mix from a target."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from fieldplan.cli.explained import Explained, Rows
from fieldplan.cli.options import (
    force_option,
    json_option,
    letterhead_option,
    out_option,
    paper_option,
    units_option,
)
from fieldplan.cli.written import write_and_say
from fieldplan.errors import UsageError
from fieldplan.jobfile.letterhead import load_letterhead
from fieldplan.jobfile.target import load_targets
from fieldplan.model.mix_design import Target
from fieldplan.report.data.json_text import json_text
from fieldplan.report.data.mix import mix_object
from fieldplan.report.documents.mix import mix_document
from fieldplan.report.output import MixAsked
from fieldplan.report.outputs import MIX, writers_of
from fieldplan.report.text.document import document_text
from fieldplan.report.typeset import Paper
from fieldplan.report.words.quantities import Quantities, System
from fieldplan.seed.mix_design import design

SECTIONS: dict[str, Rows] = {
    "What a target may hold": (
        (
            "seeds",
            'Live seeds in all: "40 seeds/ft2" for just that, "at least 30 seeds/ft2", "at most …", "30 to 50 seeds/ft2".',
        ),
        (
            "aim",
            '"cheapest" (the default) or "most seeds", which needs a budget, seed at hand or a most in all.',
        ),
        ("budget", '"$150/ac": most that seed to be bought may cost, at the prices of its lots.'),
        ("ground", '"20 ac", to count pounds and bags; needed for seed at hand. overage = "5 %" is added.'),
        ("stock", '"stock.csv": lots with seed left there are at hand, with their tags.'),
        (
            "[[target.group]]",
            'name = "forbs", with seeds, share ("20 to 30 %" of all live seeds) or pls ("at most 4 lb/ac").',
        ),
        ("[[target.species]]", "species, with seeds, share or pls."),
        (
            "[[target.lot]]",
            "Keys of [[mix.component]] without rate: the tag and price; besides group, and at_hand for seed you have. "
            "With at_hand and a price, more of it can be bought.",
        ),
    ),
}


@click.command("mix", cls=Explained, sections=SECTIONS)
@click.argument("target_path", metavar="TARGET.toml", type=click.Path(path_type=Path))
@click.option("--target", "name", metavar="NAME", help="The target to meet, if the file has several.")
@units_option
@json_option
@out_option(
    "Also write the mix as a job file's seed tables (mix.toml), a CSV and a PDF into this folder.",
    "mix.toml",
    "mix.csv",
)
@paper_option
@letterhead_option
@force_option
def command(
    target_path: Path,
    name: str | None,
    units: System,
    as_json: bool,
    folder: Path | None,
    paper: Paper,
    letterhead_path: Path | None,
    force: bool,
) -> None:
    """Design a mix: the cheapest that meets a target, or the one with the most seeds.

    TARGET.toml is a job file with [[target]], or a file of that alone. The answer is exact: a linear program is
    solved. The page says what limits the mix and what easing each limit would bring; of a target that cannot be met
    it names demands that contradict each other, and how far each would have to give.

    \b
    fieldplan mix target.toml
    fieldplan mix target.toml --out mix
    """
    target = _named(load_targets(target_path), name, target_path)
    found = design(target)
    q = Quantities(units)
    head = () if letterhead_path is None else load_letterhead(letterhead_path)
    if folder is not None:
        asked = MixAsked(design=found, q=q, paper=paper, head=head)
        write_and_say(folder, writers_of(MIX, asked), force=force)
    document = replace(mix_document(found, q), head=head)
    click.echo(json_text(mix_object(found)) if as_json else document_text(document), nl=False)


def _named(targets: tuple[Target, ...], name: str | None, path: Path) -> Target:
    names = tuple(target.name for target in targets)
    if name is None and len(targets) == 1:
        return targets[0]
    if name is None:
        raise UsageError.of("target-not-said", file=str(path), known=names)
    found = next((target for target in targets if target.name == name), None)
    if found is None:
        raise UsageError.of("target-unknown", file=str(path), target=name, known=names)
    return found
