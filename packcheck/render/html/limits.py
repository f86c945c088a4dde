"""Instruments with their due dates, and the numbers in force with where they come from and who adopted them."""

from __future__ import annotations

from packcheck.files.quantities import format_quantity
from packcheck.judging.dossier import LimitInForce
from packcheck.model.record.model import Instrument
from packcheck.render.html.element import Child, Markup, element, joined
from packcheck.render.html.measured import row_of
from packcheck.render.html.subject import Section, Subject, table
from packcheck.rules.rule import Basis

NOT_RECORDED = "not recorded"
_DUE = {True: "in date whenever it was used", False: "was used when it was overdue", None: "cannot be told"}


def instruments(subject: Subject) -> Section | None:
    """Return the instruments of a record; None for a layout, or where none was described."""
    record = subject.record
    if record is None or not record.instruments:
        return None
    facts = {row.subject: row.values for row in subject.rows("instrument")}
    heads = ("instrument", "kind", "accuracy", "range", "due", "last used here", "calibration", "finding")
    rows = (_instrument(subject, one, facts.get(name, {})) for name, one in record.instruments.items())
    return Section("instruments", "Instruments", table("Instruments, and when they are due", heads, rows))


def _instrument(subject: Subject, one: Instrument, facts: object) -> Markup:
    assert isinstance(facts, dict)
    dated, last = facts.get("in_calibration"), facts.get("last_used")
    calibration = _DUE[dated if isinstance(dated, bool) else None] if last else "nothing read with it has a date"
    cells: list[Child] = [
        one.name, one.kind or NOT_RECORDED, one.accuracy or NOT_RECORDED, one.range, one.due_text or NOT_RECORDED,
        str(last or NOT_RECORDED), calibration,
    ]  # fmt: skip
    return row_of(subject, "instrument", cells, (), one.name)


def limits(subject: Subject) -> Section:
    """Return every number that a rule was judged by: adopted ones first, then those that nobody published."""
    known = sorted(subject.dossier.limits, key=_rank)
    common = sum(1 for one in known if _rank(one) == 1)
    adopted = sum(1 for one in known if one.adopted_by)
    words = (
        f"{len(known)} numbers in force: {adopted} adopted by this shop, {common} common practice and adopted by none."
    )
    heads = ("rule", "number", "in force", "default", "where it comes from", "adopted by")
    inside = table("Numbers in force", heads, map(_limit, known), (2, 3), folds=False)
    other = [f"{one.name}: {one.value} in place of {one.default}: {one.why} ({one.by}, {one.on})"
             for one in subject.report.adopted if "where the layout states none" in one.name]  # fmt: skip
    body = joined([
        element("p", words),
        element("ul", [element("li", text) for text in other]) if other else None,
        element("details", element("summary", "All of them"), element("div", inside, class_="in")),
    ])  # fmt: skip
    return Section("limits", "Limits, and who adopted them", body)


def _rank(one: LimitInForce) -> int:
    if one.adopted_by:
        return 0
    return 1 if all(basis.kind == "common practice" for basis in one.basis) else 2


def _limit(one: LimitInForce) -> Markup:
    default = format_quantity(one.default, one.unit) if one.value != one.default else ""
    who = one.adopted_by or ("nobody: your responsible engineer adopts or replaces it" if _rank(one) == 1 else "")
    return element(
        "tr",
        element("th", one.rule, scope="row"),
        element("td", one.name),
        element("td", format_quantity(one.value, one.unit), class_="n"),
        element("td", default, class_="n"),
        element("td", "; ".join(map(basis_words, one.basis))),
        element("td", who),
    )


def basis_words(basis: Basis) -> str:
    """Return where a number comes from, in words."""
    if basis.kind == "published":
        return f"{basis.document}, {basis.clause}" if basis.clause else basis.document
    return f"derived: {basis.derived_from}" if basis.kind == "derived" else basis.kind
