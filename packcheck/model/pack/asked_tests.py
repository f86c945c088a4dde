"""Tests that a layout asks for: of which points, what each has to be, with what and under which condition."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping
from dataclasses import field
from typing import Any, NamedTuple

from packcheck.files.fields import Fields, Path, as_float
from packcheck.files.frozen import dataclass
from packcheck.files.quantities import Dimension, QuantityProblem, parse_bounds, parse_quantity
from packcheck.model.pack.kinds_of_test import KINDS_OF_TEST, OWN, PLUG, KindOfTest
from packcheck.model.pack.types import Bounds

SEPARATOR = "/"
"""What stands between the name of a test and that of its point in a record."""
PARTS = {
    "taps": "a tap", "probes": "a probe", "vents": "a vent line", "positions": "a position", "devices": "a device",
    "joints": "a joint", "covers": "a cover", "conductors": "a bar, link or lead",
}  # fmt: skip
"""The tables of a pack whose parts a test can be of, and the word for one of them."""
_BESIDE = ("spread", "tolerance", "capacitance", "reference", "not older than")
_ADD_AT = "add at: with a name for each point"
_PREFERRED = (Dimension.TEMPERATURE, Dimension.PRESSURE)
_QUANTITIES = (*_PREFERRED, *(d for d in Dimension if d not in _PREFERRED))


class Point(NamedTuple):
    """One point of a test: its name, the part it is of ("" for none), and where or when ("" for no matter)."""

    name: str
    part: str = ""
    where: str = ""


@dataclass(frozen=True)
class AskedTest:
    """A test that the layout asks for; ``limit`` and ``under`` are in the units of ``quantity`` and of ``condition``.

    ``tolerance`` is in K, or a share, as its curve wants it; ``age_h`` is how old it may be at the end of the record
    [h]; ``capacitance_uf`` what is charged [µF]; ``reference_s`` the conductance of a new one [S]; ``beside`` tells
    these as written; ``names_instrument``: the layout itself says with what, and not its kind alone.
    """

    name: str
    kind: KindOfTest
    points: tuple[Point, ...]
    quantity: Dimension | None
    limit: Bounds
    written: str
    words: tuple[str, ...]
    instrument: str
    gate: str = PLUG
    names_instrument: bool = False
    condition: Dimension | None = None
    under: Bounds = field(default_factory=Bounds)
    under_written: str = ""
    spread: float | None = None
    tolerance: float = 0.0
    age_h: float | None = None
    capacitance_uf: float | None = None
    reference_s: float | None = None
    basis: str = ""
    beside: str = ""


def read_tests(fields: Fields, table: Mapping[str, Any], parts: Mapping[str, Collection[str]]) -> dict[str, AskedTest]:
    """Return the tests of a layout by name; ``parts`` are the names of each section that one can be of."""
    return {name: _test(fields, name, spec, parts) for name, spec in table.items()}


def _test(fields: Fields, name: str, spec: Mapping[str, Any], parts: Mapping[str, Collection[str]]) -> AskedTest:
    path: Path = ("tests", name)
    kind = KINDS_OF_TEST.get(spec.get("kind", ""), KindOfTest(OWN, tuple(PARTS)))
    _check_name(fields, path, name, parts)
    words = tuple(map(str, spec.get("words", kind.words)))
    limit = str(spec.get("limit", kind.limit))
    quantity = kind.quantity or (_quantity_of(limit) if kind.name == OWN else None)
    _check_form(fields, path, spec, kind, quantity)
    bounds = _bounds(fields, (*path, "limit"), limit, quantity)
    _check_proof(fields, path, spec, kind, quantity, bounds)
    condition = kind.condition or _quantity_of(str(spec.get("under", "")))
    under = str(spec.get("under", kind.under))
    in_share = kind.tolerance.endswith("%")
    tolerance = _number(fields, (*path, "tolerance"), spec.get("tolerance", kind.tolerance),
                        Dimension.RATIO if in_share else Dimension.TEMPERATURE_DIFFERENCE)  # fmt: skip
    points = tuple(_points(fields, path, spec, kind, parts))
    if len(points) == 1 and (kind.spread or "spread" in spec):
        fields.wrong(path, found="a spread of one point", needed="two points or more", key=True,
                     do="name the other points, or leave out spread: and kind:")  # fmt: skip
    return AskedTest(
        name=name, kind=kind, points=points, quantity=quantity,
        limit=bounds, written=limit, words=words,
        instrument=str(spec.get("with", kind.instrument if kind.name != OWN else _usual(quantity))),
        gate=spec.get("before", kind.gate), names_instrument="with" in spec, condition=condition,
        under=_bounds(fields, (*path, "under"), under, condition), under_written=under,
        spread=_number(fields, (*path, "spread"), spec.get("spread", kind.spread), quantity),
        tolerance=(tolerance or 0.0) / (100 if in_share else 1),
        age_h=_number(fields, (*path, "not older than"), spec.get("not older than"), Dimension.TIME),
        capacitance_uf=_number(fields, (*path, "capacitance"), spec.get("capacitance"), Dimension.CAPACITANCE),
        reference_s=_number(fields, (*path, "reference"), spec.get("reference"), Dimension.CONDUCTANCE),
        basis=spec.get("basis", ""),
        beside=", ".join(f"{key} {said}" for key in _BESIDE if (said := spec.get(key, _kept(kind, key)))),
    )  # fmt: skip


def _check_name(fields: Fields, path: Path, name: str, parts: Mapping[str, Collection[str]]) -> None:
    """Note a name that would be taken for something else in a record."""
    if SEPARATOR in name:
        fields.wrong(path, found=f"a {SEPARATOR} in the name of a test", key=True, needed="a name without it",
                     do="leave it out: in a record it parts the test from its point")  # fmt: skip
    elif any(name in names for names in parts.values()):
        fields.wrong(path, found=f"'{name}', which is a part of this layout too", key=True, needed="each name once",
                     why=f"{name}{SEPARATOR} begins the name of a joint as well as that of a point",
                     do="give the test a name of its own")  # fmt: skip


def _check_proof(
    fields: Fields, path: Path, spec: Mapping[str, Any], kind: KindOfTest, quantity: Dimension | None, limit: Bounds
) -> None:
    """Note what would let a test prove nothing: a word twice, a number read by eye, a regulation's limit widened."""
    words = list(map(str, spec.get("words", ())))
    if words and len(set(words)) != len(words):
        fields.wrong((*path, "words"), found="the same word twice", needed="each word once",
                     do="write what must be found, then what else can be")  # fmt: skip
    with_ = str(spec.get("with", ""))
    reads = {"eyes": None, "clock": Dimension.TIME, "count": Dimension.COUNT}
    if with_ in reads and with_ != kind.instrument and reads[with_] is not quantity:
        fields.wrong((*path, "with"), found=f"{quantity.words if quantity else 'words'} with {with_}",
                     needed="what reads that", do="name the kind of instrument, or leave it out")  # fmt: skip
    if kind.firm and quantity and limit != Bounds():
        most = parse_bounds(kind.limit, quantity).high
        if most is not None and (limit.high is None or limit.high > float(most)):
            fields.wrong((*path, "limit"), found=f"'{spec['limit']}'", needed=f"{kind.limit}, or less",
                         why="that is the limit of a regulation, which a layout may tighten and not widen",
                         do="leave it out, or write a lower one")  # fmt: skip


def _kept(kind: KindOfTest, key: str) -> str:
    return {"spread": kind.spread, "tolerance": kind.tolerance}.get(key, "")


def _usual(quantity: Dimension | None) -> str:
    return "eyes" if quantity is None else "count" if quantity is Dimension.COUNT else "instrument"


def _quantity_of(written: str) -> Dimension | None:
    """Return the quantity that a limit is of; of several with the same unit the one people mean more often."""
    for dimension in _QUANTITIES if written else ():
        try:
            parse_bounds(written, dimension)
        except QuantityProblem:
            continue
        return dimension
    return None


def _check_form(
    fields: Fields, path: Path, spec: Mapping[str, Any], kind: KindOfTest, quantity: Dimension | None
) -> None:
    """Note what a test asks for that its kind has not, and what it needs and does not say."""
    if kind.name == OWN:
        said = [key for key in ("limit", "words") if key in spec]
        if len(said) != 1:
            found = "a test with both limit: and words:" if said else "a test that says nothing of what it must find"
            fields.wrong(path, found=found, needed="a limit with its unit, or words, the first of which must be found",
                         key=True, do="write one of limit:, words: and kind:")  # fmt: skip
        elif said == ["limit"] and quantity is None:
            fields.wrong((*path, "limit"), found=f"'{spec['limit']}'", needed="a limit with its unit",
                         do="write it as at most 1 Ω, or 480 mm ± 0.5 mm")  # fmt: skip
        return
    has = {"limit": quantity, "spread": quantity, "words": kind.words, "tolerance": kind.tolerance,
           "under": kind.condition, "capacitance": kind.curve == "precharge",
           "reference": kind.name == "conductance"}  # fmt: skip
    for key in (key for key in spec if key in has and not has[key]):
        fields.wrong((*path, key), found=f"{key}: of a test of kind '{kind.name}'", key=True,
                     needed="what this kind of test has", do="leave it out, or leave out kind:")  # fmt: skip
    if "before" in spec:
        fields.wrong((*path, "before"), found=f"before: of a test of kind '{kind.name}'", key=True,
                     needed="the gate of its rule", do="leave it out, or leave out kind:")  # fmt: skip
    if kind.quantity and not (kind.limit or kind.curve or kind.spread or "limit" in spec or "spread" in spec):
        fields.wrong(path, found=f"a test of kind '{kind.name}' without a limit", needed="what it has to be", key=True,
                     do="add limit: with what the maker or the drawing says")  # fmt: skip
    for key, wanted in (("capacitance", kind.curve == "precharge"), ("reference", kind.name == "conductance")):
        if wanted and key not in spec:
            fields.wrong(path, found=f"a test of kind '{kind.name}' without {key}:", needed=f"its {key}", key=True,
                         do=f"add {key}:")  # fmt: skip


def _points(
    fields: Fields, path: Path, spec: Mapping[str, Any], kind: KindOfTest, parts: Mapping[str, Collection[str]]
) -> Iterator[Point]:
    """Yield the points of a test: each part that it is of, at each place or time that it names."""
    known = {name for section in kind.of for name in parts[section]}
    if "of" in spec and not kind.of:
        fields.wrong((*path, "of"), found=f"of: of a test of kind '{kind.name}'", needed="at: with free names",
                     key=True, do="write at: with a name for each point")  # fmt: skip
        return
    if "of" not in spec and (kind.name != OWN if kind.of else "at" not in spec):
        needed, do = ("the parts it is of", "add of: with their names") if kind.of else ("its points", _ADD_AT)
        fields.wrong(path, found="a test of nothing", needed=needed, do=do, key=True)
        return
    what = " or ".join(PARTS[section] for section in kind.of) if kind.name != OWN else "a part"
    of = fields.names((*path, "of"), spec["of"]) if "of" in spec else []
    of = fields.all_known((*path, "of"), of, known, f"{what} of this layout")
    at = fields.names((*path, "at"), spec["at"]) if "at" in spec else []
    found = [Point(f"{part} {where}".strip(), part, where) for part in of or [""] for where in at or [""]]
    for name, times in Counter(point.name for point in found).items():
        if times > 1 or not name:
            fields.wrong((*path, "of" if of else "at"), found=f"'{name}' a second time" if name else "no point",
                         needed="each point once", do="take one of the two out" if name else _ADD_AT)  # fmt: skip
    if kind.curve == "precharge":
        for where in at or [""]:
            _number(fields, (*path, "at") if at else path, where or "nothing", Dimension.TIME)
    yield from found


def _bounds(fields: Fields, path: Path, written: str, dimension: Dimension | None) -> Bounds:
    if not written or dimension is None:
        return Bounds()
    try:
        bounds = parse_bounds(written, dimension)
    except QuantityProblem as problem:
        fields.wrong(path, found=problem.found, needed=problem.needed, do=problem.do)
        return Bounds()
    low, high, aim = map(as_float, (bounds.low, bounds.high, bounds.aim))
    return Bounds(aim, aim, aim) if low is None and high is None else Bounds(low, high, aim)


def _number(fields: Fields, path: Path, written: object, dimension: Dimension | None) -> float | None:
    """Return a quantity above zero, or None (and a problem where something else is written)."""
    return fields.positive(path, written or None, dimension) if dimension else None


def time_of(point: Point) -> float | None:
    """Return the time that a point names [h], None where it names none."""
    try:
        return float(parse_quantity(point.where, Dimension.TIME))
    except QuantityProblem:
        return None
