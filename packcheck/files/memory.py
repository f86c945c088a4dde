"""Garbage collection held off while large data grow."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def collection_held_off() -> Iterator[None]:
    """Hold off garbage collection: growing data make no garbage, and searching them for some is a waste."""
    was_collecting = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_collecting:
            gc.enable()
