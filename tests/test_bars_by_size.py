"""A bar's resistance held against its size and metal: R = rho · l / A, by hand.

Copper has 1/58 ohm·mm²/m (IEC 60028), aluminium 0.0282 (IEC 60889), both at 20 °C and from memory; that a bar may be
stated at a third or at three times of it is common practice, no source.
"""

from __future__ import annotations

import pytest
from test_outcomes_from_files import changed, file_named

from packcheck.facts.of_quantities import quantity_rows
from packcheck.files.document import parse_document
from packcheck.model.pack.from_document import read_pack
from packcheck.model.pack.kinds import metal_named
from packcheck.rules.catalogue import Row

SKERRY = "skerry-24/skerry-24.yaml"
BAR = "{metal: nickel-plated copper, size: [34 mm, 16 mm, 2 mm], resistance: 20 µΩ}"


def row_of(quantity: str, bar: str, file: str = SKERRY, old: str = BAR) -> Row:
    """Return what is said of a quantity once a kind of bar is written otherwise."""
    text = changed(file_named(file).read_text("utf-8"), {old: bar})
    return next(row for row in quantity_rows(read_pack(parse_document(text, file))) if row.subject == quantity)


@pytest.mark.parametrize(
    ("bar", "usual"),
    [
        (BAR, True),  # 34 mm / 32 mm² / 58: 18.32 µΩ
        (BAR.replace("20 µΩ", "54.9 µΩ"), True),
        (BAR.replace("20 µΩ", "55.0 µΩ"), False),  # three times 18.32 is 54.96
        (BAR.replace("20 µΩ", "6.11 µΩ"), True),  # a third of it is 6.106
        (BAR.replace("20 µΩ", "6.10 µΩ"), False),
        (BAR.replace("16 mm, 2 mm", "1.6 mm, 0.2 mm"), False),  # a decimal point in both: 1.8 mΩ
        (BAR.replace("copper", "aluminium").replace("20 µΩ", "85 µΩ"), True),  # 29.96 µΩ, three times 89.9
        (BAR.replace("copper", "alloy 7").replace("20 µΩ", "200 µΩ"), True),  # no metal that is known here
    ],
)
def test_a_bar_is_usual_within_three_times_of_what_its_size_makes_it(bar: str, usual: bool) -> None:
    assert row_of("bar-20 resistance", bar).values["usual"] is usual


def test_what_its_size_makes_it_is_said() -> None:
    values = row_of("bar-20 resistance", BAR.replace("20 µΩ", "200 µΩ")).values
    assert values["slip"] == (
        "; perhaps 20 µΩ, if a decimal point in the wrong place is what happened"
        "; its size in copper makes it about 18 µΩ"
    )
    assert values["usual_band"] == "6.11 µΩ to 55 µΩ"


def test_a_rail_with_three_landings_is_left_to_its_drawing() -> None:
    """700 mm / 240 mm² / 58 are 50.3 µΩ from end to end, and its landings lie closer: 15 µΩ are no slip."""
    old = "size: [700 mm, 30 mm, 8 mm], resistance: 15 µΩ"
    same = row_of("bar-rail resistance", old, "heron-2x15/heron-2x15.yaml", old)
    assert same.values["usual"] is True
    assert "its size" not in str(same.values["slip"])


@pytest.mark.parametrize(
    ("words", "metal"),
    [
        ("insulated copper", "copper"),
        ("Aluminum", "aluminium"),
        ("copper-clad aluminium", "aluminium"),
        ("aluminium, copper plated", "aluminium"),
        ("copper and aluminium", None),
        ("stainless steel", None),
        ("", None),
    ],
)
def test_the_metal_is_the_one_below_the_plating(words: str, metal: str | None) -> None:
    assert metal_named(words) == metal
