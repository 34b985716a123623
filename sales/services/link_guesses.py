"""Wrong private addresses, counted by where they come from, so that nobody tries many.

A secret of 192 bits is not guessed in any case; this keeps somebody who tries from keeping the server busy. The count
is kept in each server process's memory, so several processes allow several times as many.
"""

from django.core.cache import cache

MOST_WRONG = 20  # our own choice: a person who mistypes makes a few
WITHIN_S = 600


def too_many_guesses(address: str) -> bool:
    """Whether so many wrong ones came from there that nothing is opened for a while."""
    return cache.get(_key(address), 0) >= MOST_WRONG


def guess_count(address: str) -> None:
    """Count a wrong one."""
    key = _key(address)
    if not cache.add(key, 1, WITHIN_S):
        try:
            cache.incr(key)
        except ValueError:  # ran out between the two
            cache.set(key, 1, WITHIN_S)


def _key(address: str) -> str:
    return f"buyer-link-guesses:{address}"
