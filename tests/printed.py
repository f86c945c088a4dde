"""Help for comparing with printed numbers: the tolerance is half a unit of the last printed digit."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from fractions import Fraction

from packcheck.network.circuit import Branch, Solution, solve_circuit


def assert_printed(value: float | Fraction | None, printed: str, units: float = 0.5) -> None:
    """Fail unless ``value`` rounds to what is printed, give or take ``units`` of the last printed digit."""
    assert value is not None, f"no value, {printed} printed"
    last_digit = 10.0 ** int(Decimal(printed).as_tuple().exponent)
    assert abs(float(value) - float(printed)) <= units * last_digit * (1 + 1e-9), f"{float(value)!r}, {printed} printed"


def assert_all_printed(values: Iterable[float | Fraction | None], printed: str, units: float = 0.5) -> None:
    """Fail unless all values agree with the printed ones, given with blanks between."""
    for value, digits in zip(values, printed.split(), strict=True):
        assert_printed(value, digits, units)


def solved(branches: list[Branch], injected: Mapping[object, float] | None = None) -> Solution:
    """Solve, then check Ohm's law and the current balance of every junction anew, and supplied against lost power."""
    found = solve_circuit(branches, injected)
    balance = dict.fromkeys(found.potential, 0.0) | {name: float(fed) for name, fed in (injected or {}).items()}
    lost = supplied = 0.0
    for branch, current in zip(branches, found.current, strict=True):
        across = found.voltage(branch.start, branch.end)
        assert across is not None
        assert abs(float(across + branch.emf - current * branch.resistance)) <= 1e-9 * (1 + abs(float(branch.emf)))
        balance[branch.start] -= float(current)
        balance[branch.end] += float(current)
        lost += float(current) ** 2 * float(branch.resistance)
        supplied += float(current) * float(branch.emf)
    strongest = max((abs(float(i)) for i in found.current), default=0.0)
    assert max(map(abs, balance.values()), default=0.0) <= 1e-9 * (1 + strongest)
    for name, fed in (injected or {}).items():
        supplied += float(found.potential[name]) * float(fed)
    assert abs(supplied - lost) <= 1e-9 * (1 + lost)
    return found


def powers_w(branches: list[Branch], found: Solution) -> list[float]:
    """Return the power [W] lost in each of the first branches of a solution."""
    return [float(i) ** 2 * float(b.resistance) for b, i in zip(branches, found.current, strict=False)]


def sources_w(branches: list[Branch], found: Solution) -> list[float]:
    """Return the power [W] each branch's source gives off; negative when it takes power in."""
    return [float(i * b.emf) for b, i in zip(branches, found.current, strict=True)]
