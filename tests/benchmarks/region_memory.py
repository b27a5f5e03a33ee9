"""Memory over time as a picture."""

from __future__ import annotations

from collections.abc import Sequence

_WIDE, _HIGH, _LEFT, _LOW = 900, 420, 60, 50
Sample = tuple[float, int, float, float]
"""Seconds, rows done, and megabytes of the run and of its largest worker."""


def picture(samples: Sequence[Sample], title: str) -> str:
    """An SVG with the memory of the run and of its largest worker, in MB, over minutes."""
    last_s = max(1.0, samples[-1][0])
    most_mb = 100.0 * (1 + max(max(run, worker) for *_, run, worker in samples) // 100)
    wide, high = _WIDE - _LEFT - 20, _HIGH - _LOW - 40

    def at(seconds: float, mb: float) -> str:
        return f"{_LEFT + wide * seconds / last_s:.1f},{40 + high * (1 - mb / most_mb):.1f}"

    def line(which: int, color: str) -> str:
        points = " ".join(at(sample[0], sample[which]) for sample in samples)
        return f'<polyline points="{points}" fill="none" stroke="{color}" stroke-width="1.5"/>'

    marks = []
    for mb in range(0, int(most_mb) + 1, 100):
        x, y = at(0, mb).split(",")
        marks.append(
            f'<path d="M{x} {y}h{wide}" stroke="#ddd"/><text x="{float(x) - 6}" y="{float(y) + 4}" text-anchor="end">{mb}</text>'
        )
    for tenth in range(0, 11, 2):
        x, y = at(last_s * tenth / 10, 0).split(",")
        marks.append(
            f'<text x="{x}" y="{float(y) + 18}" text-anchor="middle">{last_s * tenth / 600:.1f}</text>'
        )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDE} {_HIGH}" font-family="sans-serif" font-size="12">'
        f'<rect width="{_WIDE}" height="{_HIGH}" fill="#fff"/><text x="{_LEFT}" y="22" font-size="15">{title}</text>'
        f"{''.join(marks)}{line(2, '#1b6ca8')}{line(3, '#b5541c')}"
        f'<text x="{_LEFT}" y="{_HIGH - 8}">MB over minutes: <tspan fill="#1b6ca8">the run</tspan>, '
        f'<tspan fill="#b5541c">its largest worker</tspan>; {samples[-1][1]:,} rows</text></svg>\n'
    )


def trend_mb(samples: Sequence[Sample], which: int) -> float:
    """How much more there is over the last fifth of the rows than over the second fifth, on average."""
    n_rows = samples[-1][1]
    there = [one for one in samples if one[which] > 0]  # a worker ends before its run
    early = [one[which] for one in there if 0.2 * n_rows <= one[1] < 0.4 * n_rows]
    late = [one[which] for one in there if one[1] >= 0.8 * n_rows]
    return sum(late) / len(late) - sum(early) / len(early) if early and late else float("nan")
