"""How likely a sample holds one of some that are wrong: drawing without putting back, the hypergeometric law."""

from __future__ import annotations

from math import comb


def detection_share(lot: int, wrong: int, drawn: int) -> float:
    """Return the probability [share of 1] that one or more of ``wrong`` things among ``lot`` are among ``drawn`` of it.

    >>> round(detection_share(48, 5, 21), 3)
    0.953
    """
    if not 0 <= wrong <= lot or not 0 <= drawn <= lot:
        raise ValueError("neither more wrong ones nor more drawn ones than there are")
    return 1 - comb(lot - wrong, drawn) / comb(lot, drawn)


def least_drawn(lot: int, wrong: int, share: float) -> int:
    """Return how many have to be drawn for a probability of at least ``share`` [of 1]; all where fewer do not do.

    >>> least_drawn(48, 5, 0.95), least_drawn(24, 2, 0.95), least_drawn(24, 3, 0.95)
    (21, 19, 15)
    """
    return next((drawn for drawn in range(lot) if detection_share(lot, wrong, drawn) >= share), lot)
