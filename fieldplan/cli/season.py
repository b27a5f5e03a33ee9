"""``fieldplan season``: a rental program for a season, from requests to the report to the board."""

from __future__ import annotations

import click

from fieldplan.cli.season_capacity import capacity_command
from fieldplan.cli.season_letters import letters_command, templates_command
from fieldplan.cli.season_offers import offers_command
from fieldplan.cli.season_papers import board_command, invoice_command, packet_command
from fieldplan.cli.season_people import forget_command, renters_command
from fieldplan.cli.season_plan import plan_command
from fieldplan.cli.season_rain import rain_command
from fieldplan.cli.season_record import ledger_command, record_command
from fieldplan.cli.season_takeover import takeover_command
from fieldplan.cli.season_years import years_command


class InOrder(click.Group):
    """A group that lists its commands in the order in which a season uses them."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names in the order of their registration."""
        del ctx
        return list(self.commands)


@click.group("season", cls=InOrder)
def command() -> None:
    """Run a district's rental program for a season.

    A season is a folder with its season.toml, its list of requests, and one store in which all that happens is an entry.
    Plan it from the list; record each yes, and what happens; plan it again after rain; offer what is free again.
    Invoices, cost-share packets and the board report are sums of the entries. Each command takes the folder or its
    season.toml.

    \b
    fieldplan season plan spring --out bookings
    fieldplan season record spring confirm request=R05 day=2027-04-02
    fieldplan season rain spring --out bookings --force
    fieldplan season offers spring
    fieldplan season letters spring --out letters
    fieldplan season board spring --out bookings
    """


for _command in (
    plan_command,
    rain_command,
    offers_command,
    capacity_command,
    record_command,
    ledger_command,
    renters_command,
    forget_command,
    letters_command,
    templates_command,
    invoice_command,
    packet_command,
    board_command,
    years_command,
    takeover_command,
):
    command.add_command(_command)
