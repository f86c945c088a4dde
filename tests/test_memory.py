"""Garbage collection held off: on again afterwards as before, and what grew meanwhile is not searched at once."""

from __future__ import annotations

import gc

import pytest

from packcheck.files.memory import collection_held_off


class Ring:
    def __init__(self) -> None:
        self.itself = self


def in_generation(number: int, wanted: type) -> int:
    return sum(isinstance(one, wanted) for one in gc.get_objects(generation=number))


def test_what_grew_while_it_was_held_off_counts_as_old() -> None:
    with collection_held_off():
        assert not gc.isenabled()
        rings = [Ring() for _ in range(2_000)]
    assert gc.isenabled()
    assert in_generation(0, Ring) == 0
    assert in_generation(2, Ring) == len(rings)
    del rings
    gc.collect()
    assert in_generation(2, Ring) == 0, "old is not for ever"


def test_it_comes_on_again_after_an_exception_and_only_at_the_outermost_end() -> None:
    def fails_within() -> None:
        with collection_held_off():
            with collection_held_off():
                pass
            assert not gc.isenabled()
            raise ValueError("within")

    with pytest.raises(ValueError, match="within"):
        fails_within()
    assert gc.isenabled()


@pytest.mark.parametrize("on", [True, False])
def test_whoever_has_it_off_keeps_it_off(on: bool) -> None:
    gc.disable()
    try:
        with collection_held_off(on):
            assert not gc.isenabled()
        assert not gc.isenabled()
    finally:
        gc.enable()
