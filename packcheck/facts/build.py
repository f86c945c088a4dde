"""Pack, and record if there is one -> facts: every table of the catalogue, filled."""

from __future__ import annotations

from functools import lru_cache

from packcheck.facts.accounted import without_contradictions
from packcheck.facts.confirmed import Confirmed
from packcheck.facts.drawn import Drawn
from packcheck.facts.evidence import Adopted, Evidence
from packcheck.facts.of_again import again_rows
from packcheck.facts.of_around import drawn_cover_rows
from packcheck.facts.of_conductors import conductor_rows
from packcheck.facts.of_devices import device_rows
from packcheck.facts.of_drawn_taps import connector_rows, drawn_tap_rows
from packcheck.facts.of_exposure import order_facts
from packcheck.facts.of_gaps import find_gaps, gap_rows
from packcheck.facts.of_groups import group_rows, string_rows
from packcheck.facts.of_halves import total_rows
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
from packcheck.facts.of_quantities import quantity_rows
from packcheck.facts.of_reading_rows import reading_rows
from packcheck.facts.of_readings import Checked, check_readings
from packcheck.facts.of_repeats import repeat_rows
from packcheck.facts.of_sections import section_rows
from packcheck.facts.of_stacks import stack_rows
from packcheck.facts.of_states import state_rows
from packcheck.facts.of_sums import sum_rows
from packcheck.facts.of_times import sequence_rows
from packcheck.facts.of_unread import unread_rows
from packcheck.facts.of_untimed import untimed_rows
from packcheck.facts.of_untold import told_rows
from packcheck.facts.of_work import work_rows
from packcheck.model.pack.model import Pack
from packcheck.model.record.model import Record
from packcheck.rules.catalogue import Facts


def build_facts(pack: Pack, record: Record | None = None, adopted: Adopted | None = None) -> Facts:
    """Return the facts about a layout, or about a recorded build of it, by table.

    Parameters
    ----------
    pack : the layout.
    record : what was fitted and read; None judges the layout alone, and only tables about it are filled.
    adopted : numbers that a shop has adopted.
    """
    evidence = Evidence(pack, record, adopted or Adopted())
    checked = check_readings(evidence)
    facts: Facts = {
        "pack": (pack_row(evidence, checked),),
        "device": tuple(device_rows(evidence, checked)),
        "outlet": tuple(outlet_rows(evidence.drawn)),
        "group": tuple(group_rows(evidence)),
        "string": tuple(string_rows(evidence)),
        "joint_type": tuple(joint_type_rows(evidence)),
        **drawn_facts(evidence.drawn),
    }
    return facts if record is None else {**facts, **_of_record(evidence, checked)}


def _of_record(evidence: Evidence, checked: tuple[Checked, ...]) -> Facts:
    """Return the tables about a recorded build alone."""
    confirmed = Confirmed(evidence, checked)
    return {
        "module": tuple(module_rows(evidence, confirmed)),
        "conductor": tuple(conductor_rows(evidence, confirmed)),
        "section": tuple(section_rows(evidence)),
        "loop": tuple(loop_rows(evidence)),
        "worked": tuple(work_rows(evidence)),
        "told": tuple(told_rows(evidence)),
        "joint": tuple(joint_rows(evidence)),
        "part": tuple(part_rows(evidence, find_gaps(evidence.drawn))),
        "tool": tuple(tool_rows(evidence)),
        "instrument": tuple(instrument_rows(evidence)),
        "cover": tuple(cover_rows(evidence)),
        "cap": tuple(cap_rows(evidence)),
        "tap": tuple(tap_rows(evidence)),
        "reading": (
            *reading_rows(evidence, checked, without_contradictions(evidence, checked, confirmed)),
            *unread_rows(evidence),
        ),
        "loaded": tuple(loaded_rows(evidence)),
        "sum": tuple(sum_rows(evidence, checked)),
        "total": tuple(total_rows(evidence, checked)),
        "sequence": (*sequence_rows(evidence, checked), *untimed_rows(evidence)),
        "again": tuple(again_rows(evidence, checked)),
        "repeat": tuple(repeat_rows(evidence, checked)),
        "isolation": tuple(isolation_rows(evidence)),
    }


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
