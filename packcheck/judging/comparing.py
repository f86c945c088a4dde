"""Two records of one pack, the later held against the earlier: before and after a stand, a service, a first run."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from packcheck.facts.evidence import Adopted, Evidence
from packcheck.facts.of_since import since_rows
from packcheck.facts.tables import table_by_name
from packcheck.files.problems import WrongUsage
from packcheck.judging.judge import judge
from packcheck.model.record.model import Record
from packcheck.model.record.shelf import plain_serial
from packcheck.rules.catalogue import Row
from packcheck.rules.findings import Gate, Judgement, Outcome
from packcheck.rules.profile import Profile
from packcheck.rules.rule import Rule

TABLE = "since"


@dataclass(frozen=True)
class Comparison:
    """What was read in both records, what rules say of it, the modules exchanged, and what was not read again."""

    later: Record
    earlier: Record
    rows: tuple[Row, ...]
    judgement: Judgement
    exchanged: tuple[str, ...]
    unread: tuple[str, ...]

    def count(self, outcome: Outcome) -> int:
        """Return how often a rule came out so."""
        return sum(finding.outcome is outcome for finding in self.judgement.findings)


def compare(later: Record, earlier: Record, rules: Sequence[Rule], profile: Profile | None = None) -> Comparison:
    """Return the later of two records held against the earlier.

    Raises
    ------
    WrongUsage : they are not two records of one pack, or the second one is the later.
    """
    _refuse_strangers(later, earlier)
    rows = tuple(since_rows(Evidence(later.pack, later, Adopted()), earlier))
    gaps = [gap for row in rows if isinstance(gap := row.values.get("gap_h"), float)]
    if gaps and max(gaps) < 0:
        raise WrongUsage(f"{earlier.file} was read after {later.file}; name the later record first")
    about = [rule for rule in rules if rule.each == TABLE]
    judgement = judge(about, {TABLE: rows}, table_by_name(), gate=Gate.RELEASE, profile=profile)
    return Comparison(later, earlier, rows, judgement, _exchanged(rows), _unread(later, earlier))


def _refuse_strangers(later: Record, earlier: Record) -> None:
    if later.pack.name != earlier.pack.name:
        raise WrongUsage(f"a record of {later.pack.name} and one of {earlier.pack.name} are of two packs")
    for record in (later, earlier):
        if not record.serial:
            raise WrongUsage(f"{record.file} does not say under of: which pack it is of")
    if plain_serial(later.serial) != plain_serial(earlier.serial):
        raise WrongUsage(f"a record of pack {later.serial} and one of pack {earlier.serial} are not compared")


def _exchanged(rows: Sequence[Row]) -> tuple[str, ...]:
    """Return the positions that hold another module than before."""
    changed = (row.subject.rpartition(" of ")[2] for row in rows if row.values.get("same") is False)
    return tuple(dict.fromkeys(changed))


def _unread(later: Record, earlier: Record) -> tuple[str, ...]:
    """Return what the earlier record has a number of, and the later one not."""
    names = [f"rest of {name}" for name, module in earlier.modules.items()
             if module.rest_v and not ((now := later.modules.get(name)) and now.rest_v)]  # fmt: skip
    names += [f"joint {name}" for name, joint in earlier.joints.items()
              if joint.resistance_ohm and not ((made := later.joints.get(name)) and made.resistance_ohm)]  # fmt: skip
    poles = {(test.minus, test.plus) for test in later.isolation.values()}
    names += [f"isolation of {name}" for name, t in earlier.isolation.items() if (t.minus, t.plus) not in poles]
    return tuple(names)
