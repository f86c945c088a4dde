"""A surge hangs under the fault that makes it, and stands by itself where that fault does not account for it."""

from __future__ import annotations

from functools import cache

import pytest
from faulty_builds import Build, judged, with_changes
from workshop import Data, grouped_layout, rack_layout, record_of

from packcheck.rules.findings import Outcome


@cache
def build(name: str) -> Build:
    layouts = {"groups": lambda: grouped_layout(5, 3), "rack": lambda: rack_layout([6, 6])}
    return Build(layouts[name](), release=True)


def rows_changed(b: Build, turned: tuple[str, ...] = (), shifted_v: dict[str, float] | None = None) -> Data:
    """Return the record with some modules written down turned round, and some with another rest voltage."""
    rows = dict(b.clean["modules"])
    for name in turned:
        rows[name] = [rows[name][0], b.pack.positions[name].minus, *rows[name][2:]]
    for name, shift in (shifted_v or {}).items():
        rows[name] = [*rows[name][:3], round(rows[name][3] + shift, 3)]
    return with_changes(b.clean, {"modules": {n: r for n, r in rows.items() if n not in ("columns", "taken")}})


def surge_is_root(b: Build, record: Data, rule: str, subject: str) -> bool:
    """Return whether a broken surge stands by itself; fails where it is not broken at all."""
    roots = judged(record_of(record, b.pack)).findings
    key = (rule, subject, Outcome.BROKEN)
    if any((f.rule, f.subject, f.outcome) == key for f in roots):
        return True
    assert any((f.rule, f.subject, f.outcome) == key for root in roots for f in root.consequences)
    return False


@pytest.mark.parametrize(("turned", "shifted_v", "is_root"), [
    (("G2a",), {}, False),  # 7.3 V over 1.2 mΩ, all of it from the turned member
    (("G2a",), {"G2b": -0.3}, True),  # 0.3 V over 1.2 mΩ are 250 A that turning it round leaves
    ((), {"G2b": -0.3}, True),
    (("G2a", "G2b"), {}, False),
    (("G2a", "G2b"), {"G2b": -0.3}, True),
])  # fmt: skip
def test_a_surge_in_a_group_follows_from_a_turned_member_that_makes_all_of_it(
    turned: tuple[str, ...], shifted_v: dict[str, float], is_root: bool
) -> None:
    b = build("groups")
    assert surge_is_root(b, rows_changed(b, turned, shifted_v), "group-surge", "G2") is is_root


def test_a_surge_between_strings_follows_from_a_turned_module_that_makes_all_of_it() -> None:
    b = build("rack")
    string, first = next(iter(b.pack.strings.items()))
    turned = b.pack.groups[first.groups[1]][0]
    other = next(p for p in b.pack.positions if p not in {m for g in first.groups for m in b.pack.groups[g]})
    low = -0.2 * b.clean["modules"][other][3]
    assert not surge_is_root(b, rows_changed(b, (turned,)), "string-surge", string)
    every_module_low = {name: low for name in b.pack.positions if name[:2] == other[:2]}
    assert surge_is_root(b, rows_changed(b, (turned,), every_module_low), "string-surge", string)
