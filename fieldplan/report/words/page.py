"""What the script of the HTML page says; ``{name}`` stands for a value that it puts in."""

from __future__ import annotations

WORDS: dict[str, str] = {
    "leg": "{n} of {all}: {what}, {length}, from {start} on",
    "pass": "pass {number}",
    "segment": "headland segment {number}",
    "left": "Left: {area} by the meter, {time}.",
    "until-stop": "Seed to stop {stop}: {seed}. Pour in there: {load}.",
    "until-end": "Seed to the end, no more stops: {seed}.",
    "all-done": "All done.",
    "no-marks": "This device keeps no marks for a page opened this way: they go when it is closed.",
    "marks": "{done} of {all} legs are marked as done; this device keeps the marks.",
    "on-line": "On the line of {what}.",
    "off-line": "{off} {side} of the line of {what}.",
    "far": "{off} from the nearest line, that of {what}.",
    "left-side": "left",
    "right-side": "right",
    "about": "Your position may be {off} off. It shows no fences, ditches or people: look at the ground.",
    "searching": "Looking for your position …",
    "no-position": "A page opened this way gets no position ({why}). The map, the slider and the marks work without it.",
    "why-missing": "this browser gives none",
    "why-insecure": "it must be opened from the device itself or over a secure line",
    "why-denied": "it was not allowed",
    "why-unavailable": "the device does not know it",
    "play": "play",
    "stop": "stop",
    "where": "where am I?",
    "stop-where": "stop following",
    "none-found": "no such field",
    "found": "{n} found",
    "hours": "{n} h",
    "minutes": "{n} min",
    "state-done": "done",
    "state-part": "{n} % done",
}
"""Sentences by name."""
NO_SCRIPT = (
    "This page was opened without its script: maps do not zoom or play, it does not show where you are and keeps no marks. "
    "All maps and tables are here."
)
MAP_HELP = "Two fingers, or + and −, bring the map closer; one finger scrolls the page."
