"""A frozen dataclass of ours is, to whoever uses it, one of the standard library's."""

from __future__ import annotations

import copy
import dataclasses
import inspect
import pickle
from collections.abc import Callable
from dataclasses import field
from functools import cached_property
from typing import Any, ClassVar

import pytest

from packcheck.files.frozen import dataclass as ours

STANDARD = dataclasses.dataclass


def classes(dataclass: Any) -> dict[str, Any]:
    """Return classes of every shape that packcheck uses, made by one of the two."""

    @dataclass(frozen=True)
    class Plain:
        """One field."""

        name: str

    @dataclass(frozen=True)
    class Full:
        """Defaults, factories, a field that is not compared, one that is not shown, and one that is not a field."""

        name: str
        sizes: tuple[int, ...] = ()
        by_name: dict[str, int] = field(default_factory=dict, hash=False, compare=False)
        origin: str = field(default="", compare=False)
        secret: int = field(default=0, repr=False)
        kinds: ClassVar[int] = 3

        @cached_property
        def twice(self) -> str:
            """Return what is reckoned once."""
            return self.name * 2

    @dataclass(frozen=True)
    class Derived(Plain):
        """A class that adds to another."""

        more: int = 0

    @dataclass(frozen=True)
    class Reckoned:
        """A field that is filled in afterwards."""

        name: str
        size: int = field(init=False)

        def __post_init__(self) -> None:
            object.__setattr__(self, "size", len(self.name))

    @dataclass(frozen=True)
    class Own:
        """A class with its own way of being hashed and shown."""

        name: str

        def __hash__(self) -> int:
            return 7

        def __repr__(self) -> str:
            return "own"

    @dataclass(frozen=True)
    class Empty:
        """No field at all."""

    return {made.__name__: made for made in (Plain, Full, Derived, Reckoned, Own, Empty)}


PAIRS = [(mine, classes(STANDARD)[name]) for name, mine in classes(ours).items()]
NAMES = [mine.__name__ for mine, _ in PAIRS]
GIVEN: dict[str, list[dict[str, Any]]] = {
    "Plain": [{"name": "a"}, {"name": "b"}],
    "Full": [{"name": "a"}, {"name": "a", "by_name": {"x": 1}}, {"name": "a", "origin": "b"},
             {"name": "a", "secret": 1}],
    "Derived": [{"name": "a"}, {"name": "a", "more": 1}], "Reckoned": [{"name": "a"}, {"name": "bb"}],
    "Own": [{"name": "a"}, {"name": "b"}], "Empty": [{}],
}  # fmt: skip


def outcome(act: Callable[[], object]) -> tuple[str, str]:
    try:
        return "done", str(act())
    except Exception as wrong:
        return type(wrong).__name__, str(wrong)


def told(made: Any) -> list[tuple[str, object]]:
    """Return the names and kinds that a class asks for."""
    return [(one.name, one.annotation) for one in inspect.signature(made).parameters.values()]


@pytest.mark.parametrize(("mine", "standard"), PAIRS, ids=NAMES)
def test_instances_are_made_shown_and_compared_alike(mine: Any, standard: Any) -> None:
    given = GIVEN[mine.__name__]
    made, likes = [mine(**one) for one in given], [standard(**one) for one in given]
    assert [repr(one) for one in made] == [repr(one) for one in likes]
    assert [[a == b for a in made] for b in made] == [[a == b for a in likes] for b in likes]
    assert [[hash(a) == hash(b) for a in made] for b in made] == [[hash(a) == hash(b) for a in likes] for b in likes]
    assert [dataclasses.asdict(one) for one in made] == [dataclasses.asdict(one) for one in likes]
    assert (mine.__match_args__, told(mine)) == (standard.__match_args__, told(standard))
    assert made[0] != likes[0]
    assert made[0] != "a"


@pytest.mark.parametrize(("mine", "standard"), PAIRS, ids=NAMES)
def test_what_is_refused_is_refused_in_the_same_words(mine: Any, standard: Any) -> None:
    made, like = mine(**GIVEN[mine.__name__][0]), standard(**GIVEN[mine.__name__][0])
    for act in (
        lambda one: setattr(one, "name", "b"),
        lambda one: delattr(one, "name"),
        lambda one: type(one)(nonsense=1),
        lambda one: type(one)(*range(9)),
        lambda one: dataclasses.replace(one, nonsense=1),
    ):
        assert outcome(lambda act=act: act(made)) == outcome(lambda act=act: act(like)) != ("done", "None")  # type: ignore[misc]


def test_copies_with_another_value_leave_the_first_as_it_was() -> None:
    full = classes(ours)["Full"]
    first = full("a", (1,))
    assert first.twice == "aa"
    second = dataclasses.replace(first, name="b")
    assert (first.name, second.name, second.sizes, second.twice) == ("a", "b", (1,), "bb")
    assert copy.deepcopy(second) == second
    assert full("a").by_name is not full("a").by_name


@ours(frozen=True)
class Kept:
    """A class that can be found again by its name."""

    name: str
    sizes: tuple[int, ...] = ()


def test_instances_go_to_other_processes_and_come_back() -> None:
    assert pickle.loads(pickle.dumps(Kept("a", (1, 2)))) == Kept("a", (1, 2))
    match Kept("a", (1, 2)):
        case Kept(name, sizes):
            assert (name, sizes) == ("a", (1, 2))


def test_a_default_that_could_be_changed_is_refused() -> None:
    with pytest.raises(ValueError, match="mutable default"):

        @ours(frozen=True)
        class _Bad:
            """A list as default."""

            names: list[str] = []  # noqa: RUF012


def test_what_is_not_frozen_is_the_standard_librarys() -> None:
    @ours
    class Open:
        """A class whose instances change."""

        size: int = 0

    @ours(frozen=True, order=True)
    class Sorted:
        """A class whose instances are sorted."""

        size: int = 0

    one = Open(1)
    one.size = 2
    assert one == Open(2)
    assert sorted([Sorted(2), Sorted(1)]) == [Sorted(1), Sorted(2)]
