"""What eyes see of the true build: what lies where, what is printed on it, how many there are, what papers say."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from packcheck.files.name_lists import compress_names
from packcheck.model.pack.parts import capped_places
from packcheck.simulate.asked.question import BARS, DAY, GLOVES, MODULES, TOOLS, Question
from packcheck.simulate.asked.truth import Truth
from packcheck.simulate.build import Build

NOT_THERE = "not there"
OF_NO_LIST = "a piece of metal that no list has"


def answer_look(truth: Truth, question: Question) -> str:
    """Return what is seen at a part or place."""
    (name,), build, pack = question.names, truth.build, truth.build.pack
    if name in build.modules:
        return "; ".join(_module(build, name))
    if name in pack.places:
        return "; ".join(_post(build, name))
    if name in build.bodies:
        return "; ".join(_body(build, name))
    if name in build.devices:
        return "; ".join(_device(build, name))
    if name in build.taps:
        return f"on {build.taps[name]}"
    if name in build.covers:
        screws = f", {build.screws[name]} screws" if pack.covers[name].screws else ""
        return f"on{screws}" if build.covers[name] else NOT_THERE
    if name in build.probes:
        return f"on {build.probes[name]}" if build.probes[name] in build.modules else "hangs free"
    line = build.vents[name]
    return f"over {compress_names(line.over)}, to {line.to}"


def _module(build: Build, name: str) -> Iterator[str]:
    module = build.modules[name]
    yield f"a module, its + at {module.plus}" if module.fitted else "no module"
    yield from (f"{OF_NO_LIST} in its place" for ends in build.stray.values()
                if not module.fitted and all(end.startswith(f"{name}.") for end in ends))  # fmt: skip
    if name in build.tools_left:
        yield "a tool lies on it"


def _post(build: Build, name: str) -> Iterator[str]:
    landed = [body.name for body in build.bodies.values() if body.fitted and any(at.node == name for at in body.lands)]
    landed += [OF_NO_LIST for ends in build.stray.values() if name in ends]
    yield f"under its nut: {', '.join(landed) or 'nothing'}"
    yield from _eyelets(build, name)
    if name in capped_places(build.pack):
        yield "no cap" if name in build.uncapped else "a cap on it"


def _body(build: Build, name: str) -> Iterator[str]:
    body = build.bodies[name]
    if not body.fitted:
        yield NOT_THERE
        return
    nodes = [landed.node for landed in body.lands]
    yield f"on {' and '.join(nodes) or 'nothing'}"
    yield {"sound": "no crack, no mark of heat", "cracked": "a hairline across its bend"}.get(
        body.condition, body.condition
    )
    yield from _eyelets(build, name)
    yield from (f"{OF_NO_LIST} on the same posts" for ends in build.stray.values() if set(ends) <= set(nodes))


def _eyelets(build: Build, name: str) -> Iterator[str]:
    eyelets = [tap for tap, node in build.taps.items() if node == name]
    if eyelets:
        yield f"eyelet of {', '.join(eyelets)}"


def _device(build: Build, name: str) -> Iterator[str]:
    device, ends = build.devices[name], build.pack.devices[name].ends
    yield "there" if device.fitted else NOT_THERE
    if device.fitted and device.current:
        start, _, end = device.current.partition(" to ")
        yield f"arrow from end {start} to end {end}"
    yield from (f"{OF_NO_LIST} across its ends" for across in build.stray.values() if set(across) == set(ends))


def answer_label(truth: Truth, question: Question) -> str:
    """Return what is printed on a part."""
    (name,), build = question.names, truth.build
    if name in build.modules:
        module = build.modules[name]
        return f"serial {module.serial}, type {module.type}" if module.fitted else NOT_THERE
    if name in build.bodies:
        return (build.bodies[name].part or "nothing printed on it") if build.bodies[name].fitted else NOT_THERE
    device = build.devices[name]
    if not device.fitted:
        return NOT_THERE
    rated = ((device.rating_a, "A"), (device.volts_v, "V"), (device.breaks_a, "A breaking"))
    printed = [device.part, *(f"{value:g} {unit}" for value, unit in rated if value is not None)]
    return ", ".join(filter(None, printed)) or "nothing printed on it"


def answer_count(truth: Truth, question: Question) -> str:
    """Return what is there when it is counted again."""
    (name,), build = question.names, truth.build
    if name == MODULES:
        return f"{sum(module.fitted for module in build.modules.values())} fitted"
    if name == BARS:
        bars = sum(body.fitted and body.section == "bars" for body in build.bodies.values())
        return f"{bars + len(build.stray)} fitted"
    if name == TOOLS:
        rows = _rows(truth.told["tools"])
        return "; ".join(f"{tool} out {out}, in {back}" for tool, (out, back) in rows.items())
    issued, fitted, returned, scrapped = _rows(truth.told["parts"])[name]
    for again in truth.told["again"]:
        returned = again["returned"] if again.get("part") == name else returned
    return f"issued {issued}, fitted {fitted}, returned {returned}, scrapped {scrapped}"


def answer_papers(truth: Truth, question: Question) -> str:
    """Return what papers say: what a record left out stands on them, and what it has stands there as it was written."""
    (name,), told, written = question.names, truth.told, truth.written
    if name == GLOVES:
        step = written["work"][0]
        return f"{step['gloves']}, tested {step['gloves tested']}"
    if name == DAY:
        steps = [pair for pair in zip(told["work"], written["work"], strict=True) if "did" in pair[0]]
        return "; ".join(
            f"{true['at']} {said['by']} and {said['second']}: {', '.join(map(str, true['did']))}"
            for true, said in steps
        )
    papers = {**told["instruments"][name], **written["instruments"][name]}
    return "; ".join(f"{key} {value}" for key, value in papers.items())


def _rows(table: Mapping[str, Any]) -> dict[str, Any]:
    return {name: row for name, row in table.items() if name not in ("columns", "taken")}
