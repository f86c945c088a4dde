"""Chemistries: the words for them, and what a type of module may say of its cells."""

from __future__ import annotations

import pytest

from packcheck.physics.cells import CHEMISTRIES, chemistry_named, chemistry_words


@pytest.mark.parametrize(
    ("word", "name"),
    [("NiMH", "NiMH"), ("Ni-MH", "NiMH"), ("nimh", "NiMH"), ("AGM", "lead-acid"), ("Gel", "lead-acid"),
     ("VRLA", "lead-acid"), ("Lead Acid", "lead-acid"), ("LiFePO4", "LFP"), ("LiFePO₄", "LFP"), ("lfp", "LFP"),
     ("N.M.C.", "NMC"), ("Li Ion", "Li-ion"), ("Na-ion", "sodium-ion"), ("ＮＭＣ", "NMC")],
)  # fmt: skip
def test_a_chemistry_is_known_by_its_words(word: str, name: str) -> None:
    kind = chemistry_named(word)
    assert kind is not None
    assert kind.name == name


@pytest.mark.parametrize("word", ["NiMeH", "unobtainium", "", "-", "lithium"])
def test_other_words_are_no_chemistry(word: str) -> None:
    assert chemistry_named(word) is None


def test_no_word_means_two_chemistries() -> None:
    words = chemistry_words()
    folded = ["".join(letter for letter in word.casefold() if letter.isalnum()) for word in words]
    assert len(set(folded)) == len(words)


def test_copper_lies_under_graphite_alone() -> None:
    """LTO and sodium-ion cells have aluminium there, aqueous cells steel or lead (recalled from memory)."""
    assert {kind.name for kind in CHEMISTRIES if not kind.copper} == {"NiMH", "NiCd", "LTO", "sodium-ion", "lead-acid"}


# Nominal cell voltages as printed on data sheets and in handbooks; common practice, no source.
@pytest.mark.parametrize(
    ("word", "nominal_v", "full_v"),
    [("NiMH", 1.2, 1.45), ("NiCd", 1.2, 1.45), ("LFP", 3.2, 3.65), ("NMC", 3.65, 4.2), ("NCA", 3.6, 4.2),
     ("LMO", 3.75, 4.2), ("LCO", 3.7, 4.2), ("LTO", 2.3, 2.8), ("lead-acid", 2.0, 2.45), ("sodium-ion", 3.1, 4.0)],
)  # fmt: skip
def test_a_usual_cell_lies_in_its_bands(word: str, nominal_v: float, full_v: float) -> None:
    kind = chemistry_named(word)
    assert kind is not None
    assert kind.nominal_v[0] <= nominal_v <= kind.nominal_v[1]
    assert kind.highest_v[0] <= full_v <= kind.highest_v[1]
