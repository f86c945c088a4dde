"""What wrong assemblies of one pack read, derived by arithmetic and by solving the network of each faulty build.

Derived: no printed source.  The pack is invented: 24 modules of 6 NiMH cells at rest, 6 × 1.32 V = 7.92 V and 10 mΩ
each, turned about; the service disconnect stands in the place of the twelfth bar.  A sense block is two modules,
2 × 7.92 V = 15.84 V; taps T0 on 1−, Tk on 2k+.  Main − is at module 1.  Each expected number is worked out beside its
test; the tests take it from the network.  Joints are 80 µΩ, bars 20 µΩ.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest
from faulty_builds import with_changes
from workshop import Data, clean_record, pack_of, record_of, stick_layout

from packcheck.facts.build import build_facts
from packcheck.model.pack.model import Pack
from packcheck.network.circuit import Solution, solve_circuit
from packcheck.network.graph import Edge, branches, network_of_record
from packcheck.network.rings import driven_rings
from packcheck.network.solution import solve
from packcheck.network.topology import spanning_forest
from packcheck.rules.catalogue import Measured

V, U, TOTAL = 7.92, 15.84, 190.08
JOINT_AND_HALF_BAR = 80e-6 + 20e-6 / 2
BLOCKS = range(1, 13)


def the_layout() -> Data:
    layout = stick_layout(24)
    stick = layout["module types"]["stick"]
    taps = {"T0": "P01.B", **{f"T{k}": f"P{2 * k:02d}.B" for k in BLOCKS}}
    return {**layout, "module types": {"stick": {**stick, "rest": "7.5 V to 8.34 V"}}, "taps": taps}


@pytest.fixture(scope="module")
def pack() -> Pack:
    return pack_of(the_layout())


@pytest.fixture(scope="module")
def clean(pack: Pack) -> Data:
    record = clean_record(pack)
    rows = {p.name: [f"M-{i}", p.plus, "stick", V] for i, p in enumerate(pack.positions.values())}
    return with_changes(record, {"modules": rows})


class Build:
    """A build of the pack: its record's rows changed, its network solved with some devices closed."""

    def __init__(
        self, pack: Pack, clean: Data, closed: tuple[str, ...] = ("SD",), **changes: Mapping[str, Any]
    ) -> None:
        self.pack = pack
        self.record = record_of(with_changes({**clean, "readings": {}}, changes), pack)
        self.edges: list[Edge] = network_of_record(self.record).closed(closed)
        self.solution: Solution = solve_circuit(branches(self.edges))

    def volts(self, plus: str, minus: str) -> float | None:
        found = self.solution.voltage(plus, minus)
        return None if found is None else round(float(found), 6)

    @property
    def total(self) -> float | None:
        return self.volts("P24.B", "P01.B")

    def blocks(self, taps: Mapping[str, str] | None = None) -> list[float | None]:
        """Return what each pair of neighbouring taps reads, on these nodes or on the layout's."""
        nodes = taps or {name: tap.node for name, tap in self.pack.taps.items()}
        return [self.volts(nodes[f"T{k}"], nodes[f"T{k - 1}"]) for k in BLOCKS]


def turned(pack: Pack, *numbers: int) -> dict[str, Any]:
    return {f"P{i:02d}": [f"M-{i - 1}", pack.positions[f"P{i:02d}"].minus, "stick", V] for i in numbers}


def bypassed(pack: Pack, *numbers: int) -> dict[str, Any]:
    places = [pack.positions[f"P{i:02d}"] for i in numbers]
    return {
        "modules": {p.name: "not fitted" for p in places},
        "bars": {f"X{i}": {"lands": [p.plus_place, p.minus_place]} for i, p in enumerate(places)},
    }


def others(blocks: list[float | None], *odd: int) -> set[float | None]:
    return {volts for k, volts in zip(BLOCKS, blocks, strict=True) if k not in odd}


def test_at_rest_every_block_reads_two_modules_and_the_whole_24(pack: Pack, clean: Data) -> None:
    """24 × 7.92 V = 190.08 V; 2 × 7.92 V = 15.84 V; halves 12 × 7.92 V = 95.04 V."""
    build = Build(pack, clean)
    assert build.total == TOTAL
    assert build.blocks() == [U] * 12
    assert (build.volts("P12.B", "P01.B"), build.volts("P24.B", "P13.B")) == (95.04, 95.04)


@pytest.mark.parametrize("number", range(1, 25))
def test_one_module_reversed(pack: Pack, clean: Data, number: int) -> None:
    """190.08 − 2 × 7.92 = 174.24 V; its block 7.92 − 7.92 = 0.00 V."""
    build, block = Build(pack, clean, modules=turned(pack, number)), (number + 1) // 2
    assert build.total == 174.24
    assert build.blocks()[block - 1] == 0.0
    assert others(build.blocks(), block) == {U}
    place = pack.positions[f"P{number:02d}"]
    assert build.volts(place.plus_place, place.minus_place) == -V


@pytest.mark.parametrize("block", BLOCKS)
def test_a_whole_block_reversed(pack: Pack, clean: Data, block: int) -> None:
    """190.08 − 4 × 7.92 = 158.40 V; the block −15.84 V."""
    build = Build(pack, clean, modules=turned(pack, 2 * block - 1, 2 * block))
    assert build.total == 158.40
    assert build.blocks()[block - 1] == -U
    assert others(build.blocks(), block) == {U}


def test_two_modules_reversed_in_different_blocks(pack: Pack, clean: Data) -> None:
    """190.08 − 4 × 7.92 = 158.40 V, the total of a reversed block; the block vector tells them apart: two at 0 V."""
    build = Build(pack, clean, modules=turned(pack, 5, 18))
    assert build.total == 158.40
    assert [k for k, volts in zip(BLOCKS, build.blocks(), strict=True) if volts == 0.0] == [3, 9]


def test_two_modules_of_one_block_absent_and_bridged(pack: Pack, clean: Data) -> None:
    """190.08 − 2 × 7.92 = 174.24 V and one block 0.00 V: like one module reversed, but for the resistance."""
    build = Build(pack, clean, **bypassed(pack, 7, 8))
    assert build.total == 174.24
    assert build.blocks()[3] == 0.0
    assert others(build.blocks(), 4) == {U}


def test_two_modules_bypassed_in_different_blocks(pack: Pack, clean: Data) -> None:
    """190.08 − 2 × 7.92 = 174.24 V, two blocks 7.92 V."""
    build = Build(pack, clean, **bypassed(pack, 3, 20))
    assert build.total == 174.24
    assert [k for k, volts in zip(BLOCKS, build.blocks(), strict=True) if volts == V] == [2, 10]
    assert others(build.blocks(), 2, 10) == {U}


def test_twelve_shorted_cells_one_in_each_block(pack: Pack, clean: Data) -> None:
    """12 × (15.84 − 1.32) = 12 × 14.52 = 174.24 V: the total of one module reversed, and no block stands out."""
    rows = {f"P{i:02d}": [f"M-{i - 1}", pack.positions[f"P{i:02d}"].plus, "stick", 6.60] for i in range(2, 25, 2)}
    build = Build(pack, clean, modules=rows)
    assert build.total == 174.24
    assert build.blocks() == [14.52] * 12


def test_the_whole_stack_mirrored(pack: Pack, clean: Data) -> None:
    """Every module consistent, −24 × 7.92 = −190.08 V between the mains, by the network and by the fact."""
    build = Build(pack, clean, closed=("SD", "K1", "K2"), modules=turned(pack, *range(1, 25)))
    assert build.volts("K1.2", "K2.1") == -TOTAL
    assert build.blocks() == [-U] * 12
    mains = build_facts(pack, build.record)["pack"][0].values["mains_v"]
    assert mains.low < -TOTAL < mains.high


def test_main_leads_swapped_reads_the_same_as_a_mirrored_stack_at_the_mains_only(pack: Pack, clean: Data) -> None:
    """−190.08 V between the mains, every block +15.84 V."""
    leads = {"W3": {"lands": ["P01.B", "F1.1"]}, "W5": {"lands": ["P24.B", "K2.2"]}}
    build = Build(pack, clean, closed=("SD", "K1", "K2"), leads=leads)
    assert build.volts("K1.2", "K2.1") == -TOTAL
    assert build.blocks() == [U] * 12


@pytest.mark.parametrize(("bar", "ring"), [("B01", (2, 3)), ("B03", (4, 5)), ("B07", (8, 9)), ("B21", (22, 23))])
def test_a_bar_one_pitch_along_shorts_two_modules_in_a_ring(
    pack: Pack, clean: Data, bar: str, ring: tuple[int, int]
) -> None:
    """2 × 7.92 V over 2 × 10 mΩ is 792 A; over four joints and two bars besides, 20.36 mΩ, 778 A."""
    first, second = (f"P{i:02d}" for i in ring)
    build = Build(pack, clean, bars={bar: {"lands": [f"{first}.A", f"{second}.A"], "part": "bar"}})
    current = {edge.name: abs(float(i)) for edge, i in zip(build.edges, build.solution.current, strict=True)}
    by_hand = 2 * V / (2 * 10e-3 + 4 * JOINT_AND_HALF_BAR)
    assert [current[first], current[second]] == pytest.approx([by_hand, by_hand], rel=2e-3)
    assert pytest.approx(792) == 2 * V / 20e-3
    assert spanning_forest(build.edges).loops(build.edges) == 1
    (loop,) = (row for row in build_facts(pack, build.record)["loop"])
    driving = loop.values["driving_v"]
    assert isinstance(driving, Measured)
    assert (driving.low + driving.high) / 2 == pytest.approx(U)
    assert loop.values["current_a"] == pytest.approx(by_hand, rel=2e-3)


def test_joints_and_bars_of_the_ring_are_what_the_record_says(pack: Pack, clean: Data) -> None:
    """The ring's resistance: 2 × 10 mΩ of modules, and joints and bars of less than 0.4 mΩ."""
    build = Build(pack, clean, bars={"B01": {"lands": ["P02.A", "P03.A"], "part": "bar"}})
    (ring,) = driven_rings(build.edges, lambda edges: solve(edges).currents)
    assert 20e-3 < ring.resistance_ohm < 20.4e-3
    assert ring.driving_v == pytest.approx(U)


def test_a_bar_over_two_modules_that_are_still_joined_shorts_them(pack: Pack, clean: Data) -> None:
    """P07.B and P09.B are two modules apart in the string: 15.84 V, 792 A but for joints; the block vector shows it."""
    build = Build(pack, clean, bars={"X1": {"lands": ["P07.B", "P09.B"]}})
    (loop,) = (row for row in build_facts(pack, build.record)["loop"])
    driving = loop.values["driving_v"]
    assert isinstance(driving, Measured)
    assert (driving.low + driving.high) / 2 == pytest.approx(U)
    assert 740 < loop.values["current_a"] < 792
    assert build.total == pytest.approx(174.24, abs=0.3)


@pytest.mark.parametrize("number", [i for i in range(1, 24) if i != 12])
def test_a_missing_bar_leaves_what_lies_beyond_it_floating(pack: Pack, clean: Data, number: int) -> None:
    """No path, so no total: two islands, and each part beside the gap keeps its n × 7.92 V."""
    build = Build(pack, clean, bars={f"B{number:02d}": "not fitted"})
    assert build.total is None
    assert build.volts(pack.positions[f"P{number:02d}"].plus_place, "P01.B") == pytest.approx(number * V)
    after = pack.positions[f"P{number + 1:02d}"].minus_place
    assert build.volts("P24.B", after) == pytest.approx((24 - number) * V)


def test_a_bar_beside_the_disconnect_keeps_the_total_with_the_plug_out(pack: Pack, clean: Data) -> None:
    """Plug out: the halves float, no total; with a bar in its place 190.08 V, and 0 V over the plug."""
    sound = Build(pack, clean, closed=())
    assert (sound.total, sound.volts("P12.B", "P01.B"), sound.volts("SD.2", "SD.1")) == (None, 95.04, None)
    bridged = Build(pack, clean, closed=(), bars={"X1": {"lands": ["P12.B", "P13.B"]}})
    assert (bridged.total, bridged.volts("SD.2", "SD.1")) == (TOTAL, 0.0)


def swapped(pack: Pack, one: str, other: str) -> dict[str, str]:
    nodes = {name: tap.node for name, tap in pack.taps.items()}
    return {**nodes, one: nodes[other], other: nodes[one]}


@pytest.mark.parametrize("k", range(1, 11))
def test_neighbouring_taps_swapped(pack: Pack, clean: Data, k: int) -> None:
    """2 × 15.84 = 31.68, −15.84, 31.68 V; the sum stays 190.08 V."""
    blocks = Build(pack, clean).blocks(swapped(pack, f"T{k}", f"T{k + 1}"))
    assert blocks[k - 1 : k + 2] == [31.68, -U, 31.68]
    assert others(blocks, k, k + 1, k + 2) <= {U}
    assert sum(blocks) == pytest.approx(TOTAL)


def test_the_end_taps_swapped(pack: Pack, clean: Data) -> None:
    """T0 with T1: −15.84, 31.68 V; the sum is 190.08 − 15.84 V, one block short."""
    blocks = Build(pack, clean).blocks(swapped(pack, "T0", "T1"))
    assert blocks[:2] == [-U, 31.68]
    assert sum(blocks) == pytest.approx(TOTAL - U)


def test_taps_two_apart_swapped(pack: Pack, clean: Data) -> None:
    """3 × 15.84 = 47.52, −15.84, −15.84, 47.52 V; the sum stays."""
    blocks = Build(pack, clean).blocks(swapped(pack, "T4", "T6"))
    assert blocks[3:7] == [47.52, -U, -U, 47.52]
    assert sum(blocks) == pytest.approx(TOTAL)


def test_the_harness_mirrored(pack: Pack, clean: Data) -> None:
    """Tk on the node of T(12 − k): every block −15.84 V; sum less total −190.08 − 190.08 = −380.16 V."""
    nodes = {f"T{k}": pack.taps[f"T{12 - k}"].node for k in range(13)}
    build = Build(pack, clean)
    assert build.blocks(nodes) == [-U] * 12
    assert sum(build.blocks(nodes)) - build.total == pytest.approx(-380.16)


@pytest.mark.parametrize(("node", "pair"), [("P08.B", [31.68, 0.0]), ("P04.B", [0.0, 31.68]),
                                            ("P07.A", [23.76, V]), ("P05.A", [V, 23.76])])  # fmt: skip
def test_a_tap_on_the_wrong_post(pack: Pack, clean: Data, node: str, pair: list[float]) -> None:
    """T3 belongs on P06.B.  Same face: 2 × 15.84 and 0 V; other face, one module off: 3 × 7.92 = 23.76 and 7.92 V."""
    nodes = {name: tap.node for name, tap in pack.taps.items()}
    blocks = Build(pack, clean).blocks({**nodes, "T3": node})
    assert blocks[2:4] == pair
    assert sum(blocks) == pytest.approx(TOTAL)


@pytest.mark.parametrize("k", BLOCKS)
def test_a_sign_slip_takes_two_blocks_out_of_the_sum(pack: Pack, clean: Data, k: int) -> None:
    """Σ − total = −2 × 15.84 = −31.68 V; the total itself and all neighbours are right."""
    rows: dict[str, Any] = {
        f"block {b}": {"between": f"T{b}", "and": f"T{b - 1}", "value": f"{-U if b == k else U} V"} for b in BLOCKS
    }
    rows["total"] = {"between": "T12", "and": "T0", "value": f"{TOTAL} V"}
    taken = {"at": "2026-10-05 14:00", "by": "MK", "with": "V1", "state": "plug in"}
    record = record_of({**clean, "readings": {"taken": taken, **rows}}, pack)
    sums = {row.subject: row.values for row in build_facts(pack, record)["sum"]}
    difference = sums["total"]["difference_v"]
    assert (difference.low + difference.high) / 2 == pytest.approx(31.68)


@pytest.mark.parametrize("modules", range(4, 31))
def test_main_posts_lie_on_one_face_for_an_even_number_of_modules_only(modules: int) -> None:
    """Turned about, module n has its + on the face of 1− when n is even: the string changes face at every module."""
    drawn = pack_of(stick_layout(modules))
    first, *_, last = drawn.positions.values()
    same = drawn.face_of(first.minus_place) == drawn.face_of(last.plus_place)
    assert same == (modules % 2 == 0)


def test_posts_of_one_face_lie_an_even_number_of_modules_apart(pack: Pack, clean: Data) -> None:
    """On a face any two posts differ by 0, 2, 4 ... × 7.92 V; from face to face by an odd number of modules."""
    build = Build(pack, clean)
    for name in pack.positions:
        for post in ("A", "B"):
            steps = round(build.volts(f"{name}.{post}", "P01.B") / V)
            assert build.volts(f"{name}.{post}", "P01.B") == pytest.approx(steps * V)
            assert steps % 2 == (post == "A")
