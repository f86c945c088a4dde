"""What a first layout says of conductors, devices, states and sensing."""

from __future__ import annotations

from collections.abc import Iterator

from packcheck.model.scaffold.wanted import (
    BREAKS_KA,
    FUSE_VOLTS,
    Names,
    Wanted,
    names_of,
    standard_above,
    todo,
    wrapped,
)


def conductors(wanted: Wanted) -> Iterator[str]:
    """Yield strings, bars and leads."""
    yield "series:   # + of each to − of the next, from the negative end; drop leaves a bar out"
    middle = wanted.modules // 2
    for names in names_of(wanted):
        drop = f", drop: {names.bar(middle)}" if wanted.disconnect == "middle" else ""
        bars = names.bar(1) if wanted.modules == 2 else f"{names.bar(1)}..{names.bar(wanted.modules - 1)}"
        yield f"  {names.prefix or 'main'}".rstrip("-") + f": {{through: {names.all}, bar: bar, names: [{bars}]{drop}}}"
    if wanted.strings > 1:
        yield f"parallel strings: [[{', '.join(names.prefix.rstrip('-') for names in names_of(wanted))}]]"
    bars_ = [line for names in names_of(wanted) for line in _end_bars(wanted, names)]
    rails = _rails(wanted)
    if bars_ or rails:
        yield "bars:"
        yield from (*bars_, *rails)
    yield "leads:"
    for names in names_of(wanted):
        yield from _leads(wanted, names)
    if wanted.strings > 1:
        yield todo("  W9: {lands: [F0.2, K1.1], length: 300 mm}", "drawing")
    yield ""


def devices(wanted: Wanted) -> Iterator[str]:
    """Yield devices and mains."""
    volts = standard_above(wanted.highest_v, FUSE_VOLTS)
    breaks = standard_above(wanted.short_a / 1000, BREAKS_KA)
    rated = f"volts: {volts} V, breaks: {breaks} kA"
    interlock = ", interlock: true" if wanted.has_contactors or wanted.strings > 1 else ""
    yield "devices:   # ends 1 and 2 of each: SD.1, SD.2"
    yield todo(f"  SD: {{kind: service disconnect{interlock}}}", "its rating and volts")
    for names in names_of(wanted):
        fuse = f"F{names.number}"
        yield todo(
            f"  {fuse}: {{kind: fuse, rating: {wanted.fuse_a} A, {rated}}}", "rating, DC volts, breaking capacity"
        )
        if wanted.strings > 1:
            yield f"  Q{names.number}: {{kind: isolator}}"
            if wanted.disconnect == "middle":
                yield f"  {names.device('M')}: {{kind: service disconnect}}"
    if wanted.strings > 1:
        main = f"  F0: {{kind: fuse, rating: {wanted.fuse_a * wanted.strings} A, {rated}}}"
        yield todo(main, "the fuse of them all")
        yield "  K1: {kind: main contactor, current: 1 to 2}"
        yield "outside: {main+: K1.2, main-: SD.2}"
    else:
        if wanted.has_contactors:
            yield "  K1: {kind: main contactor, current: 1 to 2}   # discharge current runs from its end 1 to its end 2"
            yield "  K2: {kind: main contactor, current: 1 to 2}"
        yield f"outside: {{main+: {_main(wanted)[0]}, main-: {_main(wanted)[1]}}}"
    yield ""


def states(wanted: Wanted) -> Iterator[str]:
    """Yield the switching states."""
    yield "states:   # every reading of a record names one"
    yield "  plug out: {closed: []}"
    closed: list[str] = []
    if wanted.strings > 1:
        numbers = range(1, wanted.strings + 1)
        plugs = [f"M{n}" for n in numbers] if wanted.disconnect == "middle" else []
        if plugs:
            yield f"  strings made: {{closed: [{', '.join(plugs)}]}}"
        closed = [*plugs, "Q1"]
        yield f"  rails live: {{closed: [{', '.join(closed)}]}}"
        yield f"  plug in: {{closed: [{', '.join([*closed, 'SD'])}]}}"
        closed = [*plugs, *(f"Q{n}" for n in numbers), "SD", "K1"]
    elif wanted.has_contactors:
        yield "  plug in: {closed: [SD]}"
        closed = ["SD", "K1", "K2"]
    name = "live" if wanted.has_contactors or wanted.strings > 1 else "plug in"
    yield f"  {name}: {{closed: [{', '.join(closed or ['SD'])}]}}"
    yield ""


def sensing(wanted: Wanted) -> Iterator[str]:
    """Yield taps and harness."""
    yield "taps:"
    connectors = []
    for number, names in enumerate(names_of(wanted), 1):
        width = max(2, len(str(wanted.modules)))
        tap = f"{names.prefix}T"
        last = f"{tap}{wanted.modules:0{width}d}"
        yield f"  {tap}{0:0{width}d}: {names.minus(1)[0]}"
        places = [names.plus(index)[0] for index in range(1, wanted.modules + 1)]
        yield from wrapped(f"  {tap}{1:0{width}d}..{last}: [", places)
        pins = [f"{tap}{0:0{width}d}..{last}"]
        if wanted.disconnect == "middle":
            middle = wanted.modules // 2
            far = f"{tap}{middle:0{width}d}x"
            yield f"  {far}: {names.minus(middle + 1)[0]}   # far side of the disconnect"
            pins = [f"{tap}{0:0{width}d}..{tap}{middle:0{width}d}", far, f"{tap}{middle + 1:0{width}d}..{last}"]
        connectors.append(f"X{number}: [{', '.join(_single(pin) for pin in pins)}]")
    yield "harness:"
    yield todo("  wire: 22 AWG", "size of the sense wires")
    yield todo("  fuse: 2 A", "fuse in each of them")
    yield f"  eyelet: eyelet-{wanted.thread.lower()}"
    yield from (f"  {connector}" for connector in connectors)
    yield ""


def _ends(wanted: Wanted, names: Names) -> dict[str, tuple[str, list[str]]]:
    """Return the open ends of a string: where a lead lands there, and the places that an end bar joins."""
    middle = wanted.modules // 2
    places = {"N": names.minus(1), "P": names.plus(wanted.modules)}
    if wanted.disconnect == "middle":
        places |= {"L": names.plus(middle), "H": names.minus(middle + 1)}
    return {
        end: (f"{names.prefix}E{end}" if wanted.parallel > 1 else joined[0], joined) for end, joined in places.items()
    }


def _end_bars(wanted: Wanted, names: Names) -> Iterator[str]:
    if wanted.parallel > 1:
        for node, joined in _ends(wanted, names).values():
            yield f"  {node}: {{type: end-bar, lands: [{', '.join(joined)}]}}"


def _rails(wanted: Wanted) -> list[str]:
    if wanted.strings == 1:
        return []
    numbers = range(1, wanted.strings + 1)
    ends = (("R+", [*(f"Q{n}.2" for n in numbers), "F0.1"]), ("R-", [*(f"F{n}.1" for n in numbers), "SD.1"]))
    return [f"  {name}: {{type: rail, lands: [{', '.join(lands)}], joint: lug}}" for name, lands in ends]


def _leads(wanted: Wanted, names: Names) -> Iterator[str]:
    ends = {end: node for end, (node, _) in _ends(wanted, names).items()}
    plug = names.device("M") if wanted.strings > 1 else "SD"
    if wanted.strings > 1:
        joined = [(f"F{names.number}.2", ends["N"]), (ends["P"], f"Q{names.number}.1")]
    else:
        joined = [(ends["P"], "F1.1")]
        joined += [("F1.2", "K1.1")] if wanted.has_contactors else []
        first = "SD.1" if wanted.disconnect == "end" else "K2.2" if wanted.has_contactors else ""
        joined += [(ends["N"], first)] if first else []
        joined += [("SD.2", "K2.2")] if wanted.disconnect == "end" and wanted.has_contactors else []
    if wanted.disconnect == "middle":
        joined += [(ends["L"], f"{plug}.1"), (f"{plug}.2", ends["H"])]
    for number, lands in enumerate(joined, 1):
        yield todo(f"  {names.prefix}W{number}: {{lands: [{', '.join(lands)}], length: 300 mm}}", "drawing")


def _main(wanted: Wanted) -> tuple[str, str]:
    if wanted.has_contactors:
        return "K1.2", "K2.1"
    end = "SD.2" if wanted.disconnect == "end" else _ends(wanted, next(names_of(wanted)))["N"][0]
    return "F1.2", end


def _single(pin: str) -> str:
    first, _, last = pin.partition("..")
    return first if first == last else pin
