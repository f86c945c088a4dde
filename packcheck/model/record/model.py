"""What was really fitted and read in one pack, as data.  What is None was not recorded."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from datetime import datetime

from packcheck.files.attached_files import Hashed
from packcheck.files.frozen import dataclass
from packcheck.files.origin import Origin
from packcheck.model.pack.model import Pack
from packcheck.model.record.entry import Entry
from packcheck.model.record.test_results import IsolationTest, ShelfModule, TakenTest


@dataclass(frozen=True)
class Instrument:
    """An instrument as the record describes it."""

    name: str
    kind: str | None = None
    accuracy: str | None = None
    low: float | None = None
    high: float | None = None
    due: datetime | None = None
    due_text: str | None = None
    cycles: int | None = None
    range: str = ""
    input_ohm: float | None = None


@dataclass(frozen=True)
class FittedModule:
    """What stands at one position; ``told`` are the columns that its row has, those with `none` in them too.

    ``shelf`` is what was tested before of the module with this serial.
    """

    position: str
    fitted: bool | None = None
    plus: str | None = None
    serial: str | None = None
    type: str | None = None
    rest_v: Entry | None = None
    resistance_ohm: Entry | None = None
    capacity_ah: Entry | None = None
    mass_g: Entry | None = None
    stated_as_drawn: bool = False
    origin: Origin | None = None
    told: frozenset[str] = frozenset()
    shelf: ShelfModule | None = None


@dataclass(frozen=True)
class FittedConductor:
    """A bar, link or lead as fitted; ``lands`` are network nodes."""

    name: str
    section: str
    fitted: bool | None = None
    lands: tuple[str, ...] | None = None
    part: str | None = None
    condition: str | None = None
    resistance_ohm: Entry | None = None
    stated_as_drawn: bool = False
    origin: Origin | None = None
    at: datetime | None = None


@dataclass(frozen=True)
class FittedDevice:
    """A device as fitted, with what is printed on it, and ``seen`` open or closed before the bars went on."""

    name: str
    fitted: bool | None = None
    current: str | None = None
    part: str | None = None
    rating_a: float | None = None
    volts_v: float | None = None
    breaks_a: float | None = None
    seen: str = ""
    stated_as_drawn: bool = False
    origin: Origin | None = None


@dataclass(frozen=True)
class FittedJoint:
    """One joint: torque, resistance, re-check, mark."""

    name: str
    torque_n_m: Entry | None = None
    resistance_ohm: Entry | None = None
    recheck: str | None = None
    recheck_at: datetime | None = None
    mark: str | None = None
    origin: Origin | None = None


@dataclass(frozen=True)
class Reading:
    """A voltage read from ``plus`` to ``minus`` (network nodes); positive when ``plus`` is the higher.

    ``load_a`` is the current drawn from the mains meanwhile [A]; 0 for a reading at rest.
    """

    name: str
    plus: str
    minus: str
    words: tuple[str, str]
    value_v: Entry
    load_a: float = 0.0


@dataclass(frozen=True)
class Unread:
    """A row of a reading with no value in it: what was to be read, and has not been."""

    name: str
    words: tuple[str, str]
    state: str = ""
    origin: Origin | None = None


@dataclass(frozen=True)
class Count:
    """One line of the hardware ledger."""

    issued: int | None = None
    fitted: int | None = None
    returned: int | None = None
    scrapped: int | None = None
    origin: Origin | None = None


@dataclass(frozen=True)
class ToolCount:
    """How many of one tool were taken out and came back."""

    out: int | None = None
    back: int | None = None
    origin: Origin | None = None


@dataclass(frozen=True)
class FittedCover:
    """A cover as fitted."""

    fitted: bool | None = None
    screws: int | None = None
    origin: Origin | None = None
    at: datetime | None = None


@dataclass(frozen=True)
class FittedVent:
    """One vent line: None is not recorded; ``to`` is an outlet, another line, or inside the pack.

    ``blown_at`` is the module at which air was blown in, ``felt_at`` the outlet, module or line at which it came out.
    """

    name: str
    fitted: bool | None = None
    over: tuple[str, ...] | None = None
    to: str | None = None
    blown_at: str | None = None
    felt_at: str | None = None
    origin: Origin | None = None


@dataclass(frozen=True)
class Compression:
    """The clamped stack: length [mm], rod torque [N·m], when."""

    length_mm: Entry | None = None
    torque_n_m: Entry | None = None
    at: datetime | None = None
    origin: Origin | None = None


@dataclass(frozen=True)
class Superseded:
    """A first reading that a later one stands beside: nothing is overwritten.

    ``replaced`` is what was put in new between the two: fastener, module, or "" where the record says nothing.
    """

    subject: str
    column: str
    first: Entry | None
    later: Entry
    why: str
    replaced: str = ""


@dataclass(frozen=True)
class Amended:
    """What was told of a part and was otherwise when somebody looked or counted again; ``column`` is "" for the word.

    ``first`` and ``later`` are in words; ``first_at`` and ``first_by`` are when and by whom what it stands beside was
    told; ``replaced`` is what was put in new between the two, "" where the record says nothing.
    """

    subject: str
    column: str
    first: str
    later: str
    at: datetime | None
    by: str
    why: str
    first_at: datetime | None = None
    origin: Origin | None = None
    first_by: str = ""
    replaced: str = ""


@dataclass(frozen=True)
class Remark:
    """Something that was written down and that no rule judges: what it is, and the names or words of it."""

    what: str
    names: tuple[str, ...]


@dataclass(frozen=True)
class Record:
    """The whole build record, judged against one pack; ``loaded`` are the readings taken while a load was drawn.

    ``photos`` are the files beside the record, by test and point, as they were hashed; none where nobody looked.
    """

    pack: Pack
    file: str
    serial: str = ""
    layout_sha256: str = ""
    extra_none: bool = False
    people: Mapping[str, str] = field(default_factory=dict)
    instruments: Mapping[str, Instrument] = field(default_factory=dict)
    shelf: Mapping[str, ShelfModule] = field(default_factory=dict)
    modules: Mapping[str, FittedModule] = field(default_factory=dict)
    conductors: Mapping[str, FittedConductor] = field(default_factory=dict)
    devices: Mapping[str, FittedDevice] = field(default_factory=dict)
    joints: Mapping[str, FittedJoint] = field(default_factory=dict)
    readings: tuple[Reading, ...] = ()
    loaded: tuple[Reading, ...] = ()
    unread: tuple[Unread, ...] = ()
    resistances: Mapping[str, Entry] = field(default_factory=dict)
    parts: Mapping[str, Count] = field(default_factory=dict)
    tools: Mapping[str, ToolCount] = field(default_factory=dict)
    covers: Mapping[str, FittedCover] = field(default_factory=dict)
    caps: Mapping[str, bool] = field(default_factory=dict)
    taps: Mapping[str, str] = field(default_factory=dict)
    probes: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    probe_ohms: Mapping[str, Entry] = field(default_factory=dict)
    vents: Mapping[str, FittedVent] = field(default_factory=dict)
    compression: Compression = Compression()
    isolation: Mapping[str, IsolationTest] = field(default_factory=dict)
    tests: Mapping[str, TakenTest] = field(default_factory=dict)
    photos: Mapping[str, Hashed] = field(default_factory=dict)
    superseded: tuple[Superseded, ...] = ()
    amended: tuple[Amended, ...] = ()
    uses: Mapping[str, frozenset[datetime | None]] = field(default_factory=dict)
    work: tuple[Mapping[str, object], ...] = ()
    remarks: tuple[Remark, ...] = ()
