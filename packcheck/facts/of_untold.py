"""Facts about what stands in a pack and no step of the work as told put there, or one took off for good."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from packcheck.facts.evidence import Evidence
from packcheck.files.name_lists import list_places
from packcheck.model.pack.model import Pack
from packcheck.model.pack.order import read_order
from packcheck.model.record.model import Record
from packcheck.model.record.worked import WorkStep, read_work
from packcheck.rules.catalogue import Datum, Row, Value

ALL = "all that is fitted"


def told_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield one row about the work of a record that tells any: whether a step put on each thing that is fitted.

    Asked of what the layout's order names; of all bars, links and covers where it states none.  Leads come with their
    device, and a disconnect that is fitted is not yet put in.
    """
    record = evidence.record
    steps = [step for step in read_work(record) if step.origin] if record else []
    if record is None or not any(step.stages for step in steps):
        return
    told = {item for step in steps for stage in step.stages if not stage.off for item in stage.items}
    taken_off = {item for step in steps for stage in step.stages if stage.off for item in stage.items}
    untold = [name for name in _asked(evidence.pack) if name not in told | taken_off and _is_fitted(record, name)]
    left = [name for name in _left_off(steps) if _is_fitted(record, name)]
    datum = Datum("the step of the work in which it was put on", list_places(untold), "eyes")
    values: dict[str, Value] = {"told": ALL, "steps_told": None if untold else True, "left_off": len(left)}
    values["left_off_names"] = list_places(left) if left else "none"
    place = f"the work, which does not tell of {list_places(untold, 6)}" if untold else "the work"
    yield Row(ALL, values, {"steps_told": datum}, frozenset((*untold, *left)), place, "", steps[0].origin)


def _left_off(steps: Iterable[WorkStep]) -> list[str]:
    """Return what the last step that names it took off, in the order of the work; a disconnect may well be out."""
    stages = [stage for step in steps for stage in step.stages if stage.kind != "disconnect"]
    last = {item: stage.off for stage in stages for item in stage.items}
    return [item for item, off in last.items() if off]


def _asked(pack: Pack) -> list[str]:
    """Return the positions, conductors and covers that the order names; bars, links and covers where there is none."""
    if not pack.order:
        return [*(c.name for c in pack.conductors.values() if c.kind != "lead"), *pack.covers]
    stages = [stage for stage in read_order(pack).stages if not stage.unnamed]
    return [item for stage in stages if stage.kind in ("positions", "conductors", "covers") for item in stage.items]


def _is_fitted(record: Record, name: str) -> bool:
    """Return whether the record has a part fitted; the clamp, whether it was read."""
    if name == "clamp":
        return any((record.compression.length_mm, record.compression.torque_n_m))
    parts = (record.modules, record.conductors, record.covers, record.devices)
    return any(name in kind and kind[name].fitted is True for kind in parts)
