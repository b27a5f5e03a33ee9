"""What the job costs, line by line, and what is not known."""

from __future__ import annotations

from fieldplan.facts import fact
from fieldplan.model.plan import Plan
from fieldplan.report.text.table import paragraph, table
from fieldplan.report.words.money_and_places import money_range, money_text
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence, sources_text


def cost_lines(plan: Plan, q: Quantities) -> list[str]:
    """A table of the known costs, how each came about, what is not known, the fuel and the deposit.

    Parameters
    ----------
    plan
        The plan to print.
    q
        The reader's units.
    """
    cost = plan.cost
    lines = table(("for", "cost"), rows) if (rows := _rows(plan, q)) else []
    for line in cost.lines:
        lines += paragraph(f"{line.name}: {sentence(line.how, q)}.")
    if cost.unknown:
        unknown = ", ".join(sentence(item, q) for item in cost.unknown)
        lines += paragraph(f"Not known; give it in [cost] or with the lot: {unknown}.")
    low_m3, high_m3 = cost.fuel_m3
    sources = sources_text(cost.fuel_sources)
    lines += paragraph(sentence(fact("diesel", low_fuel_m3=low_m3, high_fuel_m3=high_m3, said=sources), q))
    deposits = cost.fee.deposits if cost.fee else 0
    if deposits:
        lines += paragraph(f"Refundable deposit: {money_text(deposits, cost.currency)}.")
    return lines


def cost_text(plan: Plan, q: Quantities) -> str:
    """The known costs and what is not known, in a sentence or two."""
    cost = plan.cost
    low_m3, high_m3 = cost.fuel_m3
    unknown = ", ".join(sentence(item, q) for item in cost.unknown)
    diesel = sentence(fact("diesel-short", low_fuel_m3=low_m3, high_fuel_m3=high_m3), q)
    if not cost.lines:
        return f"Cost not known: {unknown}. {diesel}"
    *lines, (_, total), (_, by_area) = _rows(plan, q)
    known = f"Cost {total} ({by_area} per {q.area_unit}): {', '.join(name for name, _ in lines)}"
    return f"{known}; without {unknown}. {diesel}" if unknown else f"{known}. {diesel}"


def _rows(plan: Plan, q: Quantities) -> list[tuple[str, str]]:
    """Each known cost, their sum, and the sum per plantable acre or hectare."""
    cost = plan.cost
    rows = [(line.name, money_range(line.low, line.high, cost.currency)) for line in cost.lines]
    if not rows:
        return []
    low, high = cost.total
    rows.append(("all known", money_range(low, high, cost.currency)))
    plantable = plan.totals.plantable_m2 / q.area_unit_m2
    if plantable > 0:
        rows.append((f"per {q.area_unit}", money_range(low / plantable, high / plantable, cost.currency)))
    return rows
