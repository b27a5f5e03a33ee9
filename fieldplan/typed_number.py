"""Numbers as people write them: digits, fractions, decimal commas, words up to twenty."""

from __future__ import annotations

import math
import re

PLAIN = r"(?:\d{1,3}(?:,\d{3})+(?!\d)|\d+)?(?:\.\d+)?(?:[eE][+-]?\d+)?"
FRACTION = r"(?:\d{1,6}(?:\s+|\s?-\s?))?\d{1,3}\s?/\s?\d{1,3}(?![\d.])"
DECIMAL_COMMA = re.compile(
    r"([+-]?(?:0(?=,)|\d+(?=,(?:\d{1,2}|\d{4,})(?!\d))|\d{4,}(?=,))),(\d+)\s*([^\d\s.,].*)?"
)
_NUMBERS = re.compile(
    rf"(?<![\w.]){FRACTION}|[+-]?(?:\d{{1,3}}(?:[, ]\d{{3}})+(?!\d)|\d+)?(?:\.\d+)?(?<=[\d])(?:[eE][+-]?\d+)?"
)
_VULGAR = {
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
    "⅓": "1/3",
    "⅔": "2/3",
}
_SIGNS = str.maketrans(
    {"’": "'", "‘": "'", "′": "'", "”": '"', "“": '"', "″": '"', "\u00a0": " ", "\u202f": " ", "−": "-"}
)
_NUMBER_WORDS = """
    zero one two three four five six seven eight nine ten
    eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen twenty
"""
NUMBER_WORDS = tuple(_NUMBER_WORDS.split())
"""Number words; the place of each is its value."""
_OTHER_NUMBER_WORD = re.compile(
    r"(?:thir|for|fif|six|seven|eigh|nine)ty\b|\b(?:hundred|thousand|dozen|half|quarter)\b"
)


def number_in(given: object) -> float | None:
    """Return the number in a value; ``None`` if there is none, or more than one.

    Parameters
    ----------
    given
        A number, or text with a number in digits or as a word up to twenty.

    Examples
    --------
    >>> number_in("about 7 1/2 in"), number_in("twelve rows"), number_in("8 to 10 ft")
    (7.5, 12.0, None)
    """
    if isinstance(given, bool) or not isinstance(given, int | float | str):
        return None
    if not isinstance(given, str):
        return float(given) if abs(given) < 1e15 else None
    plain = plain_signs(given)
    if comma := DECIMAL_COMMA.fullmatch(plain):
        return float(f"{comma[1]}.{comma[2]}")
    plain = re.sub(r"(?<![\d,.])(\d+),(\d{1,2})(?![\d,])", r"\1.\2", plain)  # a decimal comma
    amount = re.sub(r"(?<=[a-z])\^?[23](?!\d)", "", plain.lower())  # the power of a unit is no number
    in_digits = [match for match in _NUMBERS.findall(amount) if any(c.isdigit() for c in match)]
    if _OTHER_NUMBER_WORD.search(amount):
        return None
    counted = [NUMBER_WORDS.index(word) for word in re.findall(r"[a-z]+", amount) if word in NUMBER_WORDS]
    if len(in_digits) == 1 and not counted:
        value = value_of(in_digits[0] if "/" in in_digits[0] else in_digits[0].replace(" ", ""))
        return value if math.isfinite(value) else None
    return float(counted[0]) if len(counted) == 1 and not in_digits else None


def plain_signs(text: str) -> str:
    """Return text with plain quotes, signs, spaces and fractions, without a period or spaces at its ends."""
    plain = text.translate(_SIGNS)
    for sign, fraction in _VULGAR.items():
        plain = plain.replace(sign, f" {fraction}")
    return plain.strip().removesuffix(".").rstrip()


def value_of(number: str) -> float:
    """Return the value of a number, which may be a fraction such as "7 1/2"."""
    if "/" not in number:
        return float(number.replace(",", ""))
    *whole, above, below = (float(digits) for digits in re.findall(r"\d+", number))
    return sum(whole) + (above / below if below else math.inf)
