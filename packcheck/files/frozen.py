"""``dataclass`` as in the standard library, whose frozen classes are made in a fourth of the time.

The standard one writes and compiles six functions for every class, and a check has over a hundred classes: that was an
eighth of what a short command waits for.  Here a frozen class has ``__init__`` compiled, and shares the others.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from operator import attrgetter
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dataclasses import dataclass
else:

    def dataclass(cls: type | None = None, /, **asked: bool) -> Any:
        """Return a class as a dataclass, or what makes one; all but frozen ones are the standard library's."""
        if cls is None and asked == {"frozen": True}:
            return _frozen
        return dataclasses.dataclass(cls, **asked)


__all__ = ["dataclass"]
_Class = type[Any]


def _frozen(cls: _Class) -> _Class:
    """Return a class as ``dataclasses.dataclass(frozen=True)`` would, as far as anyone can see who uses it."""
    cls = dataclasses.dataclass(init=False, repr=False, eq=False)(cls)
    fields = dataclasses.fields(cls)
    made = {"__init__": _init_of(cls, fields), "__repr__": _repr, "__setattr__": _set, "__delattr__": _delete}
    for name, function in (made | _comparing(tuple(field.name for field in fields if field.compare))).items():
        if name not in vars(cls) or (name == "__hash__" and vars(cls)[name] is None):
            setattr(cls, name, function)
    return cls


def _init_of(cls: _Class, fields: tuple[dataclasses.Field[Any], ...]) -> Callable[..., None]:
    """Return what fills a new instance; names and defaults are handed over, so that nothing but names is compiled."""
    known: dict[str, Any] = {"set_": object.__setattr__, "absent_": dataclasses.MISSING}
    parameters, lines = ["self"], ["pass"]
    for name, field in ((field.name, field) for field in fields if field.init):
        default, value = "", name
        if field.default_factory is not dataclasses.MISSING:
            known[f"make_{name}"] = field.default_factory
            default, value = "=absent_", f"make_{name}() if {name} is absent_ else {name}"
        elif field.default is not dataclasses.MISSING:
            known[f"default_{name}"] = field.default
            default = f"=default_{name}"
        parameters.append(name + default)
        lines.append(f"set_(self, {name!r}, {value})")
    if hasattr(cls, "__post_init__"):
        lines.append("self.__post_init__()")
    exec(f"def __init__({', '.join(parameters)}):\n  " + "\n  ".join(lines), known)
    init: Callable[..., None] = known["__init__"]
    init.__annotations__ = {field.name: field.type for field in fields if field.init} | {"return": None}
    init.__qualname__, init.__module__ = f"{cls.__qualname__}.__init__", cls.__module__
    return init


def _comparing(names: tuple[str, ...]) -> dict[str, Callable[..., Any]]:
    """Return what holds two instances of a class against each other by these fields."""
    values: Callable[[Any], Any] = (
        attrgetter(*names) if len(names) > 1 else lambda one: tuple(getattr(one, name) for name in names)
    )

    def equal(self: Any, other: object) -> Any:
        return values(self) == values(other) if other.__class__ is self.__class__ else NotImplemented

    return {"__eq__": equal, "__hash__": lambda self: hash(values(self))}


def _repr(self: Any) -> str:
    shown = (f"{field.name}={getattr(self, field.name)!r}" for field in dataclasses.fields(self) if field.repr)
    return f"{type(self).__qualname__}({', '.join(shown)})"


def _set(_: Any, name: str, __: object) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")


def _delete(_: Any, name: str) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")
