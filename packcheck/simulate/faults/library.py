"""All faults, and a case made of some of them: the build with them in it, and the record of it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from random import Random
from typing import NamedTuple

from packcheck.simulate.build import Build
from packcheck.simulate.faults import of_devices, of_hardware, of_joints, of_modules, of_polarity, of_records, of_senses
from packcheck.simulate.faults.fault import BELIEVED, Data, Fault
from packcheck.simulate.record import write_record
from packcheck.simulate.scribe import Bench

FAULTS: tuple[Fault, ...] = (
    *of_polarity.FAULTS, *of_joints.FAULTS, *of_senses.FAULTS, *of_modules.FAULTS, *of_devices.FAULTS,
    *of_hardware.FAULTS, *of_records.FAULTS,
)  # fmt: skip
BY_NAME = {fault.name: fault for fault in FAULTS}


class Placed(NamedTuple):
    """A fault at a place of a build, in one of the ways in which it comes into a record."""

    fault: Fault
    place: str
    variant: str


def faulty_build(bench: Bench, seed: str, placed: Sequence[Placed]) -> Build:
    """Return the true build of a seed with some faults in it."""
    build = bench.build(seed)
    for one in placed:
        if one.fault.put:
            build = one.fault.put(build, one.place, Random(f"{seed}: {one.fault.name} at {one.place}"))
    return build


def faulty_record(bench: Bench, seed: str, placed: Sequence[Placed], wanted: Collection[str] = ()) -> Data:
    """Return the record of a build with some faults: what was believed as drawn is told as the sound build has it."""
    build, seen = bench.build(seed), bench.build(seed)
    for one in placed:
        random = f"{seed}: {one.fault.name} at {one.place}"
        if one.fault.put:
            build = one.fault.put(build, one.place, Random(random))
            seen = seen if one.variant == BELIEVED else one.fault.put(seen, one.place, Random(random))
    data = write_record(bench, seed, build, seen=seen, wanted=wanted)
    for one in placed:
        if one.fault.slip:
            data = one.fault.slip(data, one.place, Random(f"{seed}: slip {one.fault.name} at {one.place}"))
    return data
