"""The step of the planned order that a build has come to, by what its record says is fitted."""

from __future__ import annotations

from packcheck.model.pack.model import Pack
from packcheck.model.pack.order import Stage, read_order
from packcheck.model.record.model import Record


def stage_in_hand(pack: Pack, record: Record) -> Stage | None:
    """Return the first stage of the layout's order of which something is not recorded as done; None after the last.

    None too where the layout states no order.  Steps that a record does not tell of (taps, the disconnect, a
    measurement) are taken as done.
    """
    if not pack.order:
        return None
    return next((stage for stage in read_order(pack).stages if not _is_done(stage, record)), None)


def _is_done(stage: Stage, record: Record) -> bool:
    if stage.kind == "clamp":
        return record.compression.length_mm is not None or record.compression.torque_n_m is not None
    tables = {"positions": record.modules, "conductors": record.conductors, "devices": record.devices,
              "covers": record.covers}  # fmt: skip
    if stage.kind not in tables:
        return True
    fitted = {name for name, part in tables[stage.kind].items() if getattr(part, "fitted", None)}
    return fitted.issuperset(stage.items)
