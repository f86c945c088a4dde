"""Garbage collection held off: on again afterwards as before, and no garbage piles up."""

from __future__ import annotations

import gc

import pytest

from packcheck.files.memory import collection_held_off


class Ring:
    def __init__(self) -> None:
        self.itself = self


def rings() -> int:
    return sum(isinstance(one, Ring) for one in gc.get_objects())


def test_garbage_that_grew_while_it_was_held_off_does_not_pile_up() -> None:
    """A refused file leaves rings of frames and exceptions; thousands of them must not fill the memory of a process."""
    for _ in range(200):
        with collection_held_off():
            assert not gc.isenabled()
            for _ in range(2_000):
                Ring()
    assert gc.isenabled()
    assert rings() < 20_000


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
