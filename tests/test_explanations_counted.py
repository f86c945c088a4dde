"""How many explanations of each kind there are of one small pack, counted by hand, and what they change by how much."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

import pytest
from workshop import Data, clean_record, grouped_layout, pack_of, record_of, stick_layout, trayed_layout

from packcheck.diagnosis.answer import hypotheses
from packcheck.diagnosis.hypothesis import Hypothesis, pair_of
from packcheck.diagnosis.search import observe
from packcheck.diagnosis.worlds import Sight


def explained(layout: Data) -> Iterator[Hypothesis]:
    pack = pack_of(layout)
    record = record_of(clean_record(pack), pack)
    return hypotheses(Sight(record), observe(record))


def counted(layout: Data) -> Counter[str]:
    return Counter(one.kind for one in explained(layout))


def test_of_six_sticks_in_a_row_every_place_has_its_explanations() -> None:
    """Six sticks of six cells; four bars and five leads of two ends; four devices; eight taps, on the two posts each.

    On each face five pairs of like posts lie next to each other and four next but one: 18, of which four have a bar.
    Leads that end on a module: four, so six pairs of them.  A wire may sit on the other post, on both posts of both
    neighbours, and on the like post two further on: four places at the ends, six next to them, seven within; two wires
    next to each other, or next but one, are exchanged: 7 + 6.
    """
    found = counted(stick_layout(6))
    each = ("module turned", "one cell short", "two cells short", "one cell reversed", "module flat", "module weak",
            "module bridged", "module open", "module resistance high")  # fmt: skip
    assert {kind: found[kind] for kind in each} == dict.fromkeys(each, 6)
    assert found["conductor missing"] == 9
    assert found["joint resistance high"] == 2 * 9
    assert found["joint open"] == 0, "of a bar of two ends it is the bar that is missing"
    assert found["conductor stray"] == 2 * (5 + 4) - 4
    assert found["leads exchanged"] == 4 * 3 / 2
    assert found["device open"] == 4
    assert found["device closed"] == 3, "a fuse is closed as it is"
    assert found["tap open"] == 2 * 8, "at no voltage, and at some"
    assert found["tap on another place"] == (4 + 4) + 6 + 7 + (7 + 7) + 6 + 4
    assert found["taps exchanged"] == 7 + 6
    assert (found["wires one pin off"], found["harness mirrored"], found["stack turned"]) == (2, 1, 1)


def test_a_bar_moves_as_a_whole_or_by_one_end_and_not_onto_a_place_it_lies_on() -> None:
    """B1 lies on P1.A and P2.A, and there is no P0: it sits on P2.A and P3.A, or by one end on P3.A."""
    found = [one for one in explained(stick_layout(6)) if one.kind == "conductor moved"]
    assert [one.says for one in found if one.parts == ("B1",)] == [
        "B1 sits one place off, on P2.A and P3.A", "B1 lands on P3.A, not on P2.A",
    ]  # fmt: skip
    assert [one.says for one in found if one.parts == ("B2",)] == [
        "B2 sits one place off, on P3.B and P4.B", "B2 lands on P4.B, not on P3.B",
        "B2 sits one place off, on P1.B and P2.B", "B2 lands on P1.B, not on P2.B",
    ]  # fmt: skip


def test_nothing_lies_beside_what_is_in_another_tray() -> None:
    """Two trays of four: on each of two faces 3 + 2 pairs of like posts a tray, and three bars in each."""
    found = [one.parts[0] for one in explained(trayed_layout(4)) if one.kind == "conductor stray"]
    assert len(found) == 2 * (2 * (3 + 2) - 3)
    assert all(one.partition("-")[0] == one.partition(" to ")[2].partition("-")[0] for one in found)


def test_of_a_group_every_joint_may_be_open_by_itself_and_of_a_cell_there_is_no_part() -> None:
    """Two bars over two groups of two: four joints each; four end links: E− and E+ on two, M1 and M2 on two and SD."""
    found = counted(grouped_layout(4, 2))
    assert found["joint open"] == 2 * 4 + 2 * 3
    beside = [2, 3, 4, 4, 3, 2]  # each of the six bars has a tap, which may sit on the next two to either side
    assert found["tap on another place"] == sum(beside)
    assert found["one cell short"] == found["two cells short"] == found["one cell reversed"] == 0


def two_types(cells: int, chemistry: str) -> Data:
    layout = stick_layout(4)
    stick = layout["module types"]["stick"]
    other = stick | {"cells": cells, "chemistry": chemistry, "rest": f"{1.25 * cells} V to {1.35 * cells} V"}
    return layout | {"module types": {"stick": stick, "other": other}}


@pytest.mark.parametrize(("chemistry", "becomes"), [("NiMH", 5 / 6), ("NMC", None)])
def test_a_module_of_another_type_has_as_many_cells_as_that_has(chemistry: str, becomes: float | None) -> None:
    """Of the same chemistry each cell stands as it was read; of another one the type rests at 1.3 V × 5 = 6.5 V."""
    pack = pack_of(two_types(5, chemistry))
    record = record_of(clean_record(pack), pack)
    sight = Sight(record)
    found = {
        one.parts[0]: one.emf_by for one in hypotheses(sight, observe(record)) if one.kind == "module of another type"
    }
    assert found.keys() == sight.modules.keys()
    for name, edge in sight.modules.items():
        assert edge.emf_v + found[name][name] == pytest.approx(edge.emf_v * becomes if becomes else 6.5)


def test_a_type_that_rests_as_high_explains_nothing() -> None:
    """Five cells at 1.53 V to 1.65 V stand as high as the six at 7.5 V to 8.4 V, 7.95 V in the middle."""
    layout = two_types(5, "NiMH")
    layout["module types"]["other"]["rest"] = "7.65 V to 8.25 V"
    assert counted(layout)["module of another type"] == 0


def one(name: str, **more: object) -> Hypothesis:
    return Hypothesis("module turned", (name,), f"{name} is otherwise", 2.0, **more)  # type: ignore[arg-type]


def test_two_things_at_once_are_about_two_parts_and_carry_all_of_both() -> None:
    first, second = one("P1", emf_by={"P1": -8.0}, out=("P1",)), one("P2", emf_by={"P2": -7.0}, taps={"T1": ""})
    both = pair_of(first, second)
    assert both is not None
    assert (both.count, both.parts, both.out, both.taps) == (2, ("P1", "P2"), ("P1",), {"T1": ""})
    assert both.emf_by == {"P1": -8.0, "P2": -7.0}
    assert both.cost > first.cost + second.cost
    assert pair_of(first, one("P1")) is None
    assert pair_of(second, one("P3", taps={"T1": "P3.A"})) is None
    assert pair_of(one("P1", meters={"V1": -1.0}), one("P2", meters={"V2": -1.0})) is None
