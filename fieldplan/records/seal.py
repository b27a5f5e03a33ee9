"""The seal that papers carry: how many entries the ledger had, and the head of its chain in short.

A ledger that lost entries at its end since then, or whose chain was made anew, does not fit it any more.
"""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Sequence

from fieldplan.errors import InputError, UsageError

HEAD_LETTERS, CHECK_LETTERS = 18, 2
"""Letters of the head of the chain, and those that show a slip in typing. Each stands for 5 bits. Another chain that fits a printed
seal takes 2 to the 90th tries, two chains of one seal that are made before it is printed 2 to the 45th; one mistyped seal in 1,024
is taken for that of another chain.
"""
ROUNDS = 100_000
"""Each try is this many hashes, some hundredths of a second."""
_SALT = b"fieldplan seal"
SEAL_LETTERS, GROUP = HEAD_LETTERS + CHECK_LETTERS, 4
_SEAL = re.compile(rf"[1-9][0-9]{{0,8}}-[A-Z2-7]{{{SEAL_LETTERS}}}")
_MISREAD = str.maketrans("018", "OIB")
"""Digits that the alphabet of seals does not have, and the letters that they are taken for."""


def seal_of(chain: Sequence[str]) -> str:
    """The seal of a ledger as papers carry it; empty if it has no entries.

    The number of entries; then 90 bits of what PBKDF2 (RFC 8018, section 5.2, with HMAC-SHA-256) makes of the last entry's
    hash, and 10 bits to find slips, in the base 32 of RFC 4648, section 6.

    Parameters
    ----------
    chain
        The hash of each entry, as hexadecimal digits.

    Examples
    --------
    >>> seal_of(["00" * 32])
    '1-4ELM-I657-ZJB7-GUAK-JTAC'
    """
    if not chain:
        return ""
    head = hashlib.pbkdf2_hmac("sha256", bytes.fromhex(chain[-1]), _SALT, ROUNDS)
    letters = _letters(len(chain), _base32(head)[:HEAD_LETTERS])
    groups = (letters[k : k + GROUP] for k in range(0, len(letters), GROUP))
    return "-".join((str(len(chain)), *groups))


def entries_since(typed: str, chain: Sequence[str], file: str) -> int:
    """How many entries came since a seal was printed, if it holds: then the entries of that time are all there, unchanged.

    Parameters
    ----------
    typed
        The seal as somebody typed it: in capitals or not, with or without hyphens, 0, 1 and 8 for O, I and B.
    chain
        The hash of each entry of the ledger, as hexadecimal digits.
    file
        The ledger, for messages.

    Raises
    ------
    UsageError
        If it is no seal, or was mistyped.
    InputError
        If the ledger has fewer entries than when it was printed, or is another chain.
    """
    signs = re.sub(r"[^0-9A-Z]", "", typed.upper())
    number, letters = signs[:-SEAL_LETTERS], signs[-SEAL_LETTERS:].translate(_MISREAD)
    if _SEAL.fullmatch(f"{number}-{letters}") is None:
        raise UsageError.of("seal-unreadable", given=typed[:60])
    n_then = int(number)
    if _letters(n_then, letters[:HEAD_LETTERS]) != letters:
        raise UsageError.of("seal-mistyped", given=typed[:60])
    if n_then > len(chain):
        raise InputError.of("seal-shorter", file=file, n_then=n_then, n_now=len(chain))
    if seal_of(chain[:n_then]).replace("-", "") != f"{n_then}{letters}":
        raise InputError.of("seal-other-chain", file=file, n_then=n_then)
    return len(chain) - n_then


def _letters(n_entries: int, head: str) -> str:
    """The letters of the head with those that show a slip, in the number too."""
    return head + _base32(hashlib.sha256(f"{n_entries}-{head}".encode()).digest())[:CHECK_LETTERS]


def _base32(content: bytes) -> str:
    return base64.b32encode(content).decode("ascii")
