"""Mutate layouts, records, rules and profiles, and check each as a user would: nothing but a plain answer may come out.

Run ``python tests/benchmarks/fuzz_inputs.py --count 1000 --seed 1``.  Mutation ``i`` of a seed is always the same one:
``--start`` goes on where an earlier run stopped, and ``--only SEED:INDEX`` does a single one again.  What a mutated
file may lead to: a judgement, ``InputProblems``, ``WrongUsage``.  Everything else is a failure, and so are more than
``--seconds`` of processor time or ``--megabytes`` of memory for one file; its files and its traceback are kept in a
folder that the run names.  The slowest and the largest file of the run are told.
"""

from __future__ import annotations

import argparse
import multiprocessing
import random
import re
import resource
import signal
import sys
import tempfile
import traceback
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from time import perf_counter, process_time
from typing import Any

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

import workshop  # noqa: E402
from demonstrations import KEPT  # noqa: E402

from packcheck.app.file_answer import Answer  # noqa: E402
from packcheck.app.formats import Form, told_of, whole  # noqa: E402
from packcheck.facts.build import build_facts  # noqa: E402
from packcheck.facts.tables import table_by_name  # noqa: E402
from packcheck.files.document import parse_document, read_document  # noqa: E402
from packcheck.files.problems import InputProblems, WrongUsage  # noqa: E402
from packcheck.files.shipped import shipped_folder  # noqa: E402
from packcheck.judging.adopting import adopted_by, check_values  # noqa: E402
from packcheck.judging.check import judge_file  # noqa: E402
from packcheck.judging.judge import judge  # noqa: E402
from packcheck.model.opening import open_file  # noqa: E402
from packcheck.render.expanded import render_expanded  # noqa: E402
from packcheck.render.paragraph import Choice  # noqa: E402
from packcheck.rules.findings import GATES  # noqa: E402
from packcheck.rules.library import check_examples, load_rules  # noqa: E402
from packcheck.rules.profile import read_profile  # noqa: E402
from packcheck.rules.rule import Rule  # noqa: E402
from packcheck.rules.rule_file import read_rule  # noqa: E402

MOST_MEMORY = 4 * 2**30
PROFILE = """\
profile: 1
shop: Bench 3
limits:
  joint-resistance-above-peers:
    rise_share: {value: 0.5, by: MK, at: 2026-05-31, why: our bars are older}
torque bands:
  M5: {band: 4 N·m to 5 N·m, by: MK, at: 2026-05-31, why: the maker of the posts wrote it}
values:
  surge limit: {value: 20 A, by: MK, at: 2026-05-31, why: the fuse of the bench}
waivers:
  joint-mark-missing: {by: TO, at: 2026-05-31, why: our nuts have a mark of their own}
"""
NASTY = (
    "", "~", "null", "none", "true", "no", "0", "-1", "1e999", "NaN", "-inf", "0x10", "010", "1.", ".5", "9" * 45,
    "999999999", "0.0000001", "-7.5 V", "0 V", "0 mm", "0 Ω", "7.5", "7,5 V", "5 V", "5 N·m", "40 in-lb", "5 to 4 N·m",
    "1 V to 2 V", "at least 5 V", "at most 0 A", "3 V ± 200 %", "0.03 %", "100 %", "[]", "{}", "[[]]", "[none]",
    "{a: 1}", "[1, 2, 3]", "as drawn", "not fitted", "loose", "P01", "P01.A", "P01..P24", "P24..P01", "P01..P99999",
    "P01..Q24", "P..", "..", ".", "/", "B01/P01", "B01", "SD", "SD.1", "K1", "main+", "V1", "T00", "T01..T06",
    "P02.B..P12.B by 0", "2026-10-05", "2026-13-40", "0001-01-01", "9999-12-31 23:59", "&a x", "*a", "!!python/none x",
    "<<", "? x", "- x", "|", ">", "%", "@x", "`x`", "'", '"', "# x", "\t", "\u200b", "\ufeff", "Ω", "é", "日", "\u202e",
    "x" * 300, "{{", "}}", "{x}", "{0.__class__}", "a.b", "__import__('os')", "a < b < c", "1 / 0", "not", "and", "()",
    "lambda: 0", "torque_n_m", "min()", "abs(-1)", "'; DROP TABLE joint; --", "\\", "\0", "\x1b[31m", "🔋", "1 Ω/V",
)  # fmt: skip
_TOKEN = re.compile(r"[^\s,:\[\]{}#]+(?:\.[^\s,:\[\]{}#]+)*")
_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_KEY = re.compile(r"[^\s,:\[\]{}#][^,:\[\]{}#\n]*(?=:(?:\s|$))", re.MULTILINE)


# -- what is mutated -------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Seed:
    """A file that can be read as it stands: its kind and text, and for a record the text of its layout."""

    kind: str
    name: str
    text: str
    layout: str = ""
    layout_name: str = ""


@cache
def seeds() -> tuple[tuple[Seed, ...], ...]:
    """Return the files to mutate, by kind: layouts, records, rules, profiles."""
    layouts, records = [], []
    for file in sorted([*shipped_folder("layouts").rglob("*.yaml"), *KEPT.rglob("*.yaml")]):
        text = file.read_text(encoding="utf-8")
        root = parse_document(text, str(file)).root
        if root.get("record") == 1:
            layout = (file.parent / root["layout"]).read_text(encoding="utf-8")
            records.append(Seed("record", file.name, text, layout, root["layout"]))
        elif root.get("layout") == 1:
            layouts.append(Seed("layout", file.name, text))
    for data in (workshop.stick_layout(6), workshop.grouped_layout(4, 2)):
        layouts.append(Seed("layout", f"{data['name']}.yaml", workshop.to_yaml(data)))
    for layout in layouts:
        pack = workshop.pack_of(parse_document(layout.text, layout.name).root, layout.name)
        text = workshop.to_yaml(workshop.clean_record(pack))
        records.append(Seed("record", layout.name.replace(".yaml", "-record.yaml"), text, layout.text, layout.name))
    rules = [
        Seed("rule", file.name, file.read_text(encoding="utf-8"))
        for file in sorted(shipped_folder("rules").rglob("*.yaml"))
    ]
    return tuple(layouts), tuple(records), tuple(rules), (Seed("profile", "profile.yaml", PROFILE),)


# -- mutations -------------------------------------------------------------------------------------------------------


def mutate(seed: Seed, dice: random.Random) -> bytes:
    """Return the file with one to four things changed."""
    content: bytes | str = seed.text
    for _ in range(dice.choice((1, 1, 1, 1, 1, 1, 2, 2, 3, 4))):
        if isinstance(content, bytes):
            content = flip_bytes(content, dice)
        else:
            content = dice.choices(MUTATIONS, WEIGHTS)[0](content, dice)
    return content if isinstance(content, bytes) else content.encode("utf-8", "surrogatepass")


def flip_bytes(content: bytes | str, dice: random.Random) -> bytes:
    """Change some bytes, so that the file may be no text any more."""
    raw = bytearray(content if isinstance(content, bytes) else content.encode("utf-8", "surrogatepass"))
    for _ in range(dice.randint(1, 3)):
        if raw:
            raw[dice.randrange(len(raw))] ^= 1 << dice.randrange(8)
    return bytes(raw)


def change_lines(text: str, dice: random.Random) -> str:
    """Leave a line out, write one twice, or exchange two."""
    lines = text.splitlines(keepends=True) or [""]
    one, other = dice.randrange(len(lines)), dice.randrange(len(lines))
    match dice.randrange(3):
        case 0:
            del lines[one]
        case 1:
            lines.insert(other, lines[one])
        case _:
            lines[one], lines[other] = lines[other], lines[one]
    return "".join(lines)


def replace_token(text: str, dice: random.Random) -> str:
    """Put something nasty in the place of a word, or of a whole value."""
    return _put(text, _TOKEN, dice, lambda _: dice.choice(NASTY))


def exchange_tokens(text: str, dice: random.Random) -> str:
    """Put another word of the same file in the place of a word."""
    words = _TOKEN.findall(text)
    return _put(text, _TOKEN, dice, lambda _: dice.choice(words)) if words else text


def exchange_alike(text: str, dice: random.Random) -> str:
    """Put a word of the same shape in the place of a word: a name for a name, a number for a number."""
    alike: dict[str, set[str]] = {}
    for word in _TOKEN.findall(text):
        alike.setdefault(_shape(word), set()).add(word)
    return _put(text, _TOKEN, dice, lambda word: dice.choice(sorted(alike[_shape(word)])))


def _shape(word: str) -> str:
    return re.sub(r"[a-z]+", "a", re.sub(r"[A-Z]+", "A", re.sub(r"\d+", "0", word)))


def rename_key(text: str, dice: random.Random) -> str:
    """Misspell a name before a colon, or give it the name of another."""
    names = _KEY.findall(text)

    def renamed(name: str) -> str:
        return dice.choice(names) if dice.random() < 0.5 else _misspelt(name, dice)

    return _put(text, _KEY, dice, renamed)


def change_number(text: str, dice: random.Random) -> str:
    """Make a number larger, smaller, negative, zero or odd."""
    return _put(text, _NUMBER, dice, lambda n: dice.choice(
        (f"{n}0", f"{n}1", f"{n}2", f"{n}.5", f"-{n}", "0", "1", f"0{n}", f"{n}e3", n[:-1], f"{n},{n}",
         str(dice.randint(0, 200)))
    ))  # fmt: skip


def nest(text: str, dice: random.Random) -> str:
    """Put brackets around a word, a few or thousands."""
    depth = dice.choice((1, 2, 3, 49, 51, 2000))
    opening, closing = dice.choice((("[", "]"), ("{a: ", "}"), ("(", ")"), ("- ", "")))
    return _put(text, _TOKEN, dice, lambda word: opening * depth + word + closing * depth)


def truncate(text: str, dice: random.Random) -> str:
    """Keep only the beginning, or only the end."""
    at = dice.randrange(len(text) + 1)
    return text[:at] if dice.random() < 0.8 else text[at:]


def insert_sign(text: str, dice: random.Random) -> str:
    """Put a sign somewhere: white space, punctuation, something invisible or foreign."""
    at = dice.randrange(len(text) + 1)
    sign = dice.choice((*"\t \n\r:,[]{}#&*!|>'\"%@`?-~.\\", "\u00a0", "\u2028", "\u0301", "Ω", "\u2126", "\U0001f50b",
                        chr(dice.randrange(1, 0xD7FF)), "\ud800"))  # fmt: skip
    return text[:at] + sign + text[at:]


def move_branch(text: str, dice: random.Random) -> str:
    """Take the file's data apart and put something in, out or elsewhere, so that it can still be read as YAML."""
    root = _data(text)
    if root is None:
        return replace_token(text, dice)
    branches = list(_branches(root))
    holder, key = dice.choice(branches)
    other_holder, other_key = dice.choice(branches)
    match dice.randrange(5):
        case 0:
            del holder[key]
        case 1:
            holder[key] = other_holder[other_key] if not isinstance(other_holder[other_key], dict | list) else "x"
        case 2:
            holder[key] = [holder[key]] if dice.random() < 0.5 else {"x": holder[key]}
        case 3 if isinstance(holder, dict):
            holder[_misspelt(str(key), dice)] = holder.pop(key)
        case _:
            holder[key] = dice.choice((None, True, 0, -5, "", [], {}, *NASTY))
    return str(workshop.to_yaml(root))


def _data(text: str) -> Any:
    parsed = _parsed(text)
    return None if parsed is None else _copied(parsed)


@lru_cache(maxsize=200)
def _parsed(text: str) -> Any:
    try:
        return parse_document(text, "").root
    except InputProblems:
        return None


def _copied(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _copied(item) for key, item in value.items()}
    return [_copied(item) for item in value] if isinstance(value, list) else value


MUTATIONS: tuple[Callable[[str, random.Random], str | bytes], ...] = (
    flip_bytes, change_lines, replace_token, exchange_tokens, exchange_alike, rename_key, change_number, nest, truncate,
    insert_sign, move_branch,
)  # fmt: skip
WEIGHTS = (3, 12, 12, 8, 30, 5, 14, 2, 2, 4, 18)


def _put(text: str, pattern: re.Pattern[str], dice: random.Random, new: Callable[[str], str]) -> str:
    matches = list(pattern.finditer(text))
    if not matches:
        return text
    match = dice.choice(matches)
    return text[: match.start()] + new(match[0]) + text[match.end() :]


def _misspelt(name: str, dice: random.Random) -> str:
    at = dice.randrange(len(name) + 1)
    return dice.choice((name[:at] + name[at + 1 :], name[:at] + "x" + name[at:], name.upper(), name + " ", f"{name}-2"))


def _branches(root: Any) -> Iterator[tuple[Any, Any]]:
    todo = [root]
    while todo:
        holder = todo.pop()
        for key in list(holder) if isinstance(holder, dict) else range(len(holder)):
            yield holder, key
            if isinstance(holder[key], dict | list):
                todo.append(holder[key])


# -- what is done with a mutated file --------------------------------------------------------------------------------


@cache
def shipped_rules() -> tuple[Rule, ...]:
    """Return the rules that come with packcheck."""
    return load_rules([shipped_folder("rules")], table_by_name())


@cache
def _usual_facts(folder: Path) -> Any:
    """Return the facts of a small complete record, for mutated rules and profiles to judge."""
    seed = next(one for one in seeds()[1] if one.name.startswith("generated"))
    return build_facts(*_opened(_write(folder, "usual", seed, seed.text.encode())), adopted_by(None))


def _opened(file: Path) -> tuple[Any, Any]:
    opened = open_file(file)
    return opened.pack, opened.record


def _write(folder: Path, stem: str, seed: Seed, content: bytes) -> Path:
    file = folder / f"{stem}.yaml"
    file.write_bytes(content)
    if seed.layout:
        (folder / seed.layout_name).write_text(seed.layout, encoding="utf-8")
    return file


def use(seed: Seed, content: bytes, folder: Path, dice: random.Random) -> str:
    """Do with a mutated file what its kind is for; return ``judged`` or ``refused``."""
    file = _write(folder, "mutated", seed, content)
    try:
        {"layout": _check, "record": _check, "rule": _use_rule, "profile": _use_profile}[seed.kind](file, folder, dice)
        if seed.kind == "layout":
            _check_record_of(seed, content, folder, dice)
    except InputProblems as wrong:
        _print(Answer(str(file), problems=wrong.problems), dice)
        return "refused"
    return "judged"


def _check(file: Path, _: Path, dice: random.Random) -> None:
    judged = judge_file(file, rules=shipped_rules(), gate=dice.choice(GATES))
    _print(Answer(str(file), judged), dice)
    if dice.random() < 0.2:
        render_expanded(open_file(file).pack, width=100)


def _check_record_of(seed: Seed, content: bytes, folder: Path, dice: random.Random) -> None:
    """Check the untouched record of a mutated layout."""
    record = next((one for one in seeds()[1] if one.layout == seed.text), None)
    if record:
        (folder / record.layout_name).write_bytes(content)
        file = folder / "record.yaml"
        file.write_text(record.text, encoding="utf-8")
        _check(file, folder, dice)


def _use_rule(file: Path, folder: Path, dice: random.Random) -> None:
    tables = table_by_name()
    rule = read_rule(read_document(file), tables)
    check_examples(rule, [rule], tables[rule.each])
    facts = _usual_facts(folder)
    judge([rule], facts, tables, gate=dice.choice(GATES), profile=None, layout_only=dice.random() < 0.2)


def _use_profile(file: Path, folder: Path, dice: random.Random) -> None:
    document = read_document(file)
    profile = read_profile(document, shipped_rules())
    check_values(document, profile)
    judge(shipped_rules(), _usual_facts(folder), table_by_name(), gate=dice.choice(GATES), profile=profile,
          layout_only=False)  # fmt: skip


def _print(answer: Answer, dice: random.Random) -> None:
    choice = Choice(dice.random() < 0.3, dice.random() < 0.3)
    text = Form("text", dice.choice((40, 80, 100, 200)), dice.random() < 0.5, choice)
    for form in (text, Form("json")):
        assert whole([told_of(answer, 1, form)], form, ()).strip(), "an answer without words"


# -- running ---------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Most:
    """The most that one file may take: processor time [s] and memory of the process [MB]."""

    seconds: float = 5.0
    megabytes: float = 1024.0


class TooSlow(BaseException):
    """One file took longer than it may."""


@dataclass(frozen=True)
class Outcome:
    """What became of one mutation, with its processor time and the most memory the process held meanwhile.

    ``failure`` names the place in the code, empty when all went as it should.
    """

    index: int
    kind: str
    word: str
    failure: str = ""
    trace: str = ""
    seconds: float = 0.0
    megabytes: float = 0.0


def run_one(seed_number: int, index: int, folder: Path, most: Most | None = None, keep: Path | None = None) -> Outcome:
    """Make mutation ``index`` of a seed, use it, and say what became of it."""
    most = most or Most()
    dice = random.Random(f"{seed_number}:{index}")
    kind = dice.choices(seeds(), (35, 40, 17, 8))[0]
    seed = dice.choices(kind, [1 / (1 + len(one.text) / 2000) for one in kind])[0]  # a small file is soon tried
    content = mutate(seed, dice)
    _forget_peak()
    started = process_time()
    signal.setitimer(signal.ITIMER_VIRTUAL, 4 * most.seconds)
    try:
        word, failure, trace = use(seed, content, folder, dice), "", ""
    except WrongUsage:
        word, failure, trace = "wrong usage", "", ""
    except (Exception, TooSlow) as fault:
        word, failure, trace = "FAILED", _signature(fault), traceback.format_exc()
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
    seconds, megabytes = process_time() - started, _peak_megabytes()
    if not failure and (seconds > most.seconds or megabytes > most.megabytes):
        word, failure = "FAILED", f"{seconds:.1f} s and {megabytes:.0f} MB"
    if failure and keep:
        _keep(keep / f"{seed_number}-{index}", seed, content, trace)
    return Outcome(index, seed.kind, word, failure, trace, seconds, megabytes)


def _forget_peak() -> None:
    """Let Linux begin anew to note the most memory that this process holds."""
    with suppress(OSError):
        Path("/proc/self/clear_refs").write_text("5")


def _peak_megabytes() -> float:
    """Return the most memory that this process held [MB] since the peak was forgotten."""
    with suppress(OSError, StopIteration):
        lines = Path("/proc/self/status").read_text().splitlines()
        return int(next(line for line in lines if line.startswith("VmHWM")).split()[1]) / 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def _signature(fault: BaseException) -> str:
    last = [frame for frame in traceback.extract_tb(fault.__traceback__) if "packcheck" in Path(frame.filename).parts]
    where = f"{Path(last[-1].filename).name}:{last[-1].lineno} {last[-1].name}" if last else "outside packcheck"
    return f"{type(fault).__name__} at {where}"


def _keep(folder: Path, seed: Seed, content: bytes, trace: str) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    _write(folder, seed.name.removesuffix(".yaml") + "-mutated", seed, content)
    (folder / "traceback.txt").write_text(trace, encoding="utf-8", errors="replace")


def _ring(*_: object) -> None:
    raise TooSlow


def _work(task: tuple[int, Sequence[int], Most, str]) -> list[Outcome]:
    seed_number, indexes, most, keep = task
    signal.signal(signal.SIGVTALRM, _ring)
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
    with tempfile.TemporaryDirectory(prefix="packcheck-fuzz-") as folder:
        return [run_one(seed_number, index, Path(folder), most, Path(keep)) for index in indexes]


def _show(outcomes: Iterable[Outcome], count: int, started: float) -> Counter[str]:
    words: Counter[str] = Counter()
    failures: Counter[str] = Counter()
    slowest = largest = Outcome(-1, "", "")
    for done, outcome in enumerate(outcomes, 1):
        slowest = max(slowest, outcome, key=lambda one: one.seconds)
        largest = max(largest, outcome, key=lambda one: one.megabytes)
        words[f"{outcome.kind} {outcome.word}"] += 1
        if outcome.failure:
            failures[outcome.failure] += 1
            if failures[outcome.failure] == 1:
                print(f"  mutation {outcome.index} ({outcome.kind}): {outcome.failure}", flush=True)
        if done % 5000 == 0 or done == count:
            print(f"{done} mutations in {perf_counter() - started:.0f} s", flush=True)
    for word, number in sorted(words.items()):
        print(f"{number:8} {word}")
    print(f"slowest: mutation {slowest.index}, {slowest.seconds:.2f} s of processor time")
    print(f"largest: mutation {largest.index}, {largest.megabytes:.0f} MB")
    for failure, number in failures.most_common():
        print(f"{number:8} FAILED: {failure}")
    return failures


def main() -> int:
    """Run the mutations that the command line asks for; exit 1 when any failed."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--start", type=int, default=0, help="index of the first mutation")
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--workers", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=5, help="the most processor time that one file may take")
    parser.add_argument("--megabytes", type=float, default=1024, help="the most memory that one file may take")
    parser.add_argument("--only", metavar="SEED:INDEX", help="make one mutation and print its traceback")
    wanted = parser.parse_args()
    most = Most(wanted.seconds, wanted.megabytes)
    keep = tempfile.mkdtemp(prefix="packcheck-fuzz-kept-")
    if wanted.only:
        seed, index = (int(number) for number in wanted.only.split(":"))
        outcome = _work((seed, [index], most, keep))[0]
        print(f"{outcome.kind}: {outcome.word}\n{outcome.trace}kept in {keep}")
        return bool(outcome.failure)
    indexes = range(wanted.start, wanted.start + wanted.count)
    tasks = [(wanted.seed, indexes[i : i + 100], most, keep) for i in range(0, len(indexes), 100)]
    print(f"seed {wanted.seed}, mutations {indexes.start} to {indexes.stop - 1}; failures are kept in {keep}")
    with multiprocessing.Pool(wanted.workers) as pool:
        results = (outcome for batch in pool.imap_unordered(_work, tasks) for outcome in batch)
        return bool(_show(results, wanted.count, perf_counter()))


if __name__ == "__main__":
    sys.exit(main())
