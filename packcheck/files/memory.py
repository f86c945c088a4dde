"""Garbage collection held off while large data grow."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def collection_held_off(held_off: bool = True) -> Iterator[None]:
    """Hold off garbage collection: growing data make no garbage, and searching them for some is a waste."""
    was_collecting = held_off and gc.isenabled()
    if was_collecting:
        gc.disable()
    try:
        yield
    finally:
        if was_collecting:
            gc.enable()
