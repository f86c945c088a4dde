"""Rules for people: the list of all, and one in full."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from packcheck.files.quantities import format_quantity
from packcheck.render.page import USUAL_WIDTH, Page, plural
from packcheck.rules.findings import GATES, Outcome
from packcheck.rules.rule import Basis, Rule


def render_rule_list(rules: Iterable[Rule], *, width: int = USUAL_WIDTH) -> str:
    """Return one entry per rule, by family, in the order of the gates."""
    ordered = sorted(rules, key=lambda rule: (rule.family, GATES.index(rule.gate), rule.name))
    page = Page(width)
    family = ""
    for rule in ordered:
        if rule.family != family:
            family = rule.family
            page.heading(family)
        page.item(f"{rule.name}: {rule.title} ({rule.severity.value}, by gate '{rule.gate.value}')")
    page.gap()
    page.say(f"{plural(len(ordered), 'rule')}. `packcheck rules show NAME` prints one in full.")
    return page.text()


def render_rule(rule: Rule, *, width: int = USUAL_WIDTH) -> str:
    """Return everything a person may want to know of one rule."""
    page = Page(width)
    page.banner(f"{rule.name}: {rule.title}", "strong")
    page.gap()
    page.field("Weight", f"{rule.severity.value}, by gate '{rule.gate.value}', family {rule.family}", 0)
    page.field("Judges", "layouts and records" if rule.judges_layout else "records", 0)
    page.field("Stands", "first of all findings where it is broken" if rule.stands_first else "", 0)
    page.field("Each", f"row of the fact table {rule.each}", 0)
    page.field("Where", rule.where_text, 0)
    page.field("Require", rule.require_text, 0)
    page.field(
        "Limits",
        [
            f"{limit.name} = {format_quantity(limit.value, limit.unit)}: {limit.why} ({_bases(limit.basis)})"
            for limit in rule.limits.values()
        ],
        0,
    )
    page.field("Follows", ", ".join(rule.follows_from), 0)
    page.field("Why", rule.why, 0)
    page.field("Do", rule.remedy, 0)
    page.field("Teaching", rule.teaching, 0)
    page.field("Basis", _bases(rule.basis), 0)
    counts = ((outcome, sum(1 for example in rule.examples if example.outcome is outcome)) for outcome in Outcome)
    page.field("Examples", ", ".join(f"{count} {outcome.value}" for outcome, count in counts if count), 0)
    page.field("File", "/".join(Path(rule.file).parts[-2:]), 0)
    return page.text()


def _bases(bases: Iterable[Basis]) -> str:
    return "; ".join(basis_words(basis) for basis in bases)


def basis_words(basis: Basis) -> str:
    """Return where a rule or limit comes from, in one phrase."""
    if basis.kind == "published":
        return ", ".join(filter(None, (basis.document, basis.clause)))
    if basis.kind == "derived":
        return f"derived from {basis.derived_from}"
    return "common practice, no published source"
