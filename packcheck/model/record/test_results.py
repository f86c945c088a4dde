"""What was tested: a module before it was chosen, the isolation, and what a layout asks for.  None is not recorded."""

from __future__ import annotations

from datetime import datetime

from packcheck.files.frozen import dataclass
from packcheck.files.origin import Origin
from packcheck.model.record.entry import Entry


@dataclass(frozen=True)
class ShelfModule:
    """A module as tested before it was chosen: ``lost_v`` over ``stood_h`` at rest; ``set_aside`` says why, or ""."""

    serial: str
    type: str = ""
    lot: str = ""
    capacity_ah: Entry | None = None
    resistance_ohm: Entry | None = None
    lost_v: Entry | None = None
    stood_h: float | None = None
    set_aside: str = ""
    origin: Origin | None = None


@dataclass(frozen=True)
class IsolationTest:
    """One test between two poles (network nodes), of the whole pack or of a part of it; None is not recorded.

    ``with_resistor_v`` is read at the pole that read higher, with the resistor from that pole to the chassis;
    ``meter_ohm`` is the input resistance that the meter of this reading states [ohm].
    """

    name: str
    minus: str
    plus: str
    poles_v: Entry | None = None
    minus_v: Entry | None = None
    plus_v: Entry | None = None
    resistor_ohm: Entry | None = None
    with_resistor_v: Entry | None = None
    tester_ohm: Entry | None = None
    state: str = ""
    origin: Origin | None = None
    meter_ohm: float | None = None


@dataclass(frozen=True)
class TakenTest:
    """What was found at one point of a test: a value in the unit of its quantity, or a word; and its condition.

    ``file`` is the name of a photo beside the record, "" where none is told.
    """

    name: str
    value: Entry | None = None
    found: str | None = None
    under: Entry | None = None
    at: datetime | None = None
    by: str = ""
    origin: Origin | None = None
    file: str = ""
