"""Phrases for the order of rounds and passes, as a driver follows it without guidance."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

_SETS_OUT = "begin in the {begins} and set out {toward} along {where}, with it on your right, {way}"
PHRASES: dict[str, Phrase] = {
    "drive-rule": Phrase(
        "Turn round at the end of each pass. Skip 3 east: leave out three strips of {width_m:1} on the east side, sown or "
        "not, and take the fourth; × 5: five times over. Where several passes on a strip are not sown yet, take the one that "
        "begins nearest to you."
    ),
    "drive-by-hand": Phrase(
        "With {n_moves} moves to keep count of, drive this by guidance or by the map of the page on a phone; planned in the "
        "plain order, moves repeat."
    ),
    "drive-rounds/edge": Phrase(
        f"<{{sowing}}: >{{n_rounds}} {{n_rounds|round|rounds}} along the edge<, {{order}}>: {_SETS_OUT}."
    ),
    "drive-rounds/one": Phrase(f"<{{sowing}}: >Round {{round}} along the edge: {_SETS_OUT}."),
    "drive-rounds/around": Phrase(
        f"<{{sowing}}: >{{n_rounds}} {{n_rounds|round|rounds}} around the {{around}}<, {{order}}>: {_SETS_OUT}."
    ),
    "drive-rounds/around-one": Phrase(f"<{{sowing}}: >Round {{round}} around the {{around}}: {_SETS_OUT}."),
    "drive-rounds/placed": Phrase(
        "<{sowing}: >{n_rounds|Round|Rounds} {numbers} along the edge, from {start_lonlat} on, {toward} along {where} on "
        "your right."
    ),
    "drive-rounds/some": Phrase("{n_first} to {n_last}"),
    "drive-order/inward": Phrase("the outermost first"),
    "drive-order/outward": Phrase("the innermost first"),
    "drive-edge": Phrase("the {side} edge"),
    "drive-edge/around": Phrase("its {side} side"),
    "drive-way/clockwise": Phrase("clockwise"),
    "drive-way/counterclockwise": Phrase("counterclockwise"),
    "drive-sowing": Phrase("Sowing {n_sowing}"),
    "drive-passes": Phrase(
        "<{sowing}: >{passes}<, block {n_block}>: begin on strip {n_strip} from the {side} side< (pass {n_part} of {n_parts} "
        "on it, from the {end})>, at its {end} end<. Skip {steps*, }>."
    ),
    "drive-passes/alone": Phrase("<{sowing}: >{passes}<, block {n_block}>: begin at its {end} end."),
    "drive-passes/bent": Phrase(
        "<{sowing}: >{passes}<, block {n_block}>, bent as the ground is: begin at the {end} end, at {start_lonlat}<; {following}>."
    ),
    "drive-numbers/one": Phrase("Pass {n_first}"),
    "drive-numbers/some": Phrase("Passes {n_first} to {n_last}"),
    "drive-nearest": Phrase("then the pass that begins nearest, until all are sown"),
    "drive-move/skip": Phrase("{n_skipped} {side}"),
    "drive-move/beside": Phrase("none {side}"),
    "drive-move/same": Phrase("nothing (on along the same strip)"),
    "drive-again": Phrase("{steps*, } × {n_times}"),
    "drive-again/several": Phrase("({steps*, }) × {n_times}"),
}
