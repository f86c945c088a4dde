"""Pack, and record if there is one -> facts: every table of the catalogue, filled."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cached_property, lru_cache

from packcheck.facts.checked_readings import Checked, check_readings
from packcheck.facts.confirmed_by_readings import Confirmed
from packcheck.facts.drawn import Drawn
from packcheck.facts.evidence import Adopted, Evidence
from packcheck.facts.of_alike import alike_rows
from packcheck.facts.of_conductors import conductor_rows
from packcheck.facts.of_devices import device_rows
from packcheck.facts.of_drawn_covers import drawn_cover_rows
from packcheck.facts.of_drawn_taps import connector_rows, drawn_tap_rows
from packcheck.facts.of_exposure import order_facts
from packcheck.facts.of_gaps import find_gaps, gap_rows
from packcheck.facts.of_groups import group_rows, string_rows
from packcheck.facts.of_hardware import cap_rows, cover_rows, part_rows, tap_rows, tool_rows
from packcheck.facts.of_instruments import instrument_rows
from packcheck.facts.of_isolation import isolation_rows
from packcheck.facts.of_joints import joint_rows, joint_type_rows
from packcheck.facts.of_loaded import loaded_rows
from packcheck.facts.of_loops import drawn_loop_rows, loop_rows
from packcheck.facts.of_module_types import module_type_rows
from packcheck.facts.of_modules import module_rows
from packcheck.facts.of_outlets import outlet_rows
from packcheck.facts.of_pack import pack_row
from packcheck.facts.of_places import placed_rows, span_rows
from packcheck.facts.of_probes import probe_rows
from packcheck.facts.of_quantities import quantity_rows
from packcheck.facts.of_readings import reading_rows, unread_rows
from packcheck.facts.of_recorded import recorded_rows
from packcheck.facts.of_repeats import repeat_rows
from packcheck.facts.of_second_readings import again_rows, untimed_rows
from packcheck.facts.of_sections import section_rows
from packcheck.facts.of_stacks import stack_rows
from packcheck.facts.of_states import state_rows
from packcheck.facts.of_sums import sum_rows
from packcheck.facts.of_test_points import test_point_rows
from packcheck.facts.of_tests import test_rows
from packcheck.facts.of_times import sequence_rows
from packcheck.facts.of_totals import total_rows
from packcheck.facts.of_vents import vent_rows
from packcheck.facts.of_work import told_rows, work_rows
from packcheck.facts.without_faults import without_contradictions
from packcheck.model.pack.model import Pack
from packcheck.model.record.model import Record
from packcheck.rules.catalogue import Facts, Row


def build_facts(pack: Pack, record: Record | None = None, adopted: Adopted | None = None) -> Facts:
    """Return the facts about a layout, or about a recorded build of it, by table.

    Parameters
    ----------
    pack : the layout.
    record : what was fitted and read; None judges the layout alone, and only tables about it are filled.
    adopted : numbers that a shop has adopted.
    """
    tables = (*_OF_EITHER, *(_OF_RECORD if record else ()))
    facts = build_tables(tables, pack, record, adopted)
    return {**facts, **drawn_facts(Evidence(pack, record, adopted or Adopted()).drawn)}


def build_tables(
    names: Iterable[str], pack: Pack, record: Record | None = None, adopted: Adopted | None = None
) -> Facts:
    """Return some of the tables that ``build_facts`` fills from a record, each of them as it is there."""
    return fill_tables(names, Evidence(pack, record, adopted or Adopted()))


def fill_tables(names: Iterable[str], evidence: Evidence) -> Facts:
    """Return some of the tables that ``build_facts`` fills from a record, from evidence that is at hand."""
    sources = _Sources(evidence)
    return {name: tuple({**_OF_EITHER, **_OF_RECORD}[name](sources)) for name in names}


class _Sources:
    """What tables are filled from: the evidence, and what several of them take out of it."""

    def __init__(self, evidence: Evidence) -> None:
        self.evidence = evidence

    @cached_property
    def checked(self) -> tuple[Checked, ...]:
        """Return the readings, each beside what is predicted."""
        return check_readings(self.evidence)

    @cached_property
    def confirmed(self) -> Confirmed:
        """Return what the readings confirm."""
        return Confirmed(self.evidence, self.checked)


_Builder = Callable[[_Sources], Iterable[Row]]

_OF_EITHER: Mapping[str, _Builder] = {
    "pack": lambda s: (pack_row(s.evidence),),
    "device": lambda s: device_rows(s.evidence, s.checked),
    "outlet": lambda s: outlet_rows(s.evidence.drawn),
    "group": lambda s: group_rows(s.evidence),
    "string": lambda s: string_rows(s.evidence),
    "joint_type": lambda s: joint_type_rows(s.evidence),
}
"""The tables about a layout or a recorded build."""

_OF_RECORD: Mapping[str, _Builder] = {
    "module": lambda s: module_rows(s.evidence, s.confirmed),
    "conductor": lambda s: conductor_rows(s.evidence, s.confirmed),
    "section": lambda s: section_rows(s.evidence),
    "loop": lambda s: loop_rows(s.evidence),
    "worked": lambda s: work_rows(s.evidence),
    "told": lambda s: told_rows(s.evidence),
    "joint": lambda s: joint_rows(s.evidence),
    "part": lambda s: part_rows(s.evidence, find_gaps(s.evidence.drawn)),
    "tool": lambda s: tool_rows(s.evidence),
    "instrument": lambda s: instrument_rows(s.evidence),
    "cover": lambda s: cover_rows(s.evidence),
    "cap": lambda s: cap_rows(s.evidence),
    "vent": lambda s: vent_rows(s.evidence),
    "tap": lambda s: tap_rows(s.evidence),
    "probe": lambda s: probe_rows(s.evidence),
    "reading": lambda s: (
        *reading_rows(s.evidence, s.checked, without_contradictions(s.evidence, s.checked, s.confirmed)),
        *unread_rows(s.evidence),
    ),
    "loaded": lambda s: loaded_rows(s.evidence),
    "sum": lambda s: sum_rows(s.evidence, s.checked),
    "total": lambda s: total_rows(s.evidence, s.checked),
    "sequence": lambda s: (*sequence_rows(s.evidence, s.checked), *untimed_rows(s.evidence)),
    "again": lambda s: again_rows(s.evidence, s.checked),
    "repeat": lambda s: repeat_rows(s.evidence, s.checked),
    "alike": lambda s: alike_rows(s.evidence),
    "isolation": lambda s: isolation_rows(s.evidence),
    "recorded": lambda s: recorded_rows(s.evidence),
    "test_point": lambda s: test_point_rows(s.evidence),
    "test": lambda s: test_rows(s.evidence),
}
"""The tables about a recorded build alone."""
TABLES_OF_RECORDS = (*_OF_EITHER, *_OF_RECORD)


@lru_cache(maxsize=4)
def drawn_facts(drawn: Drawn) -> Facts:
    """Return the tables that follow from a layout alone; several records are checked against one layout."""
    pack, order = drawn.pack, order_facts(drawn)
    return {
        "drawn_loop": tuple(drawn_loop_rows(drawn)),
        "module_type": tuple(module_type_rows(pack)),
        "state": tuple(state_rows(drawn)),
        "quantity": tuple(quantity_rows(pack)),
        "gap": tuple(gap_rows(pack, find_gaps(drawn))),
        "stack": tuple(stack_rows(pack)),
        "placed": tuple(placed_rows(pack)),
        "span": tuple(span_rows(pack)),
        "drawn_cover": tuple(drawn_cover_rows(pack)),
        "drawn_tap": tuple(drawn_tap_rows(drawn)),
        "connector": tuple(connector_rows(drawn)),
        "order": order.order,
        "step": order.steps,
    }
