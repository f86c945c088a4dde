"""What is said with every answer, whatever the answer is.

The sources stand beside each line; the wording is our own and short, because it is read in a workshop.
"""

from __future__ import annotations

CAUTIONS: tuple[str, ...] = (
    "packcheck reads a record. It does not make, test or certify a pack, and 'no rule broken' is not permission to"
    " energize.",
    "A battery is always live. Below 60 V DC it still burns and arcs; above 60 V DC it can kill. Work only as a trained"
    " and authorised person under local law; the maker's instructions come first.",
    "Above 60 V DC work in twos: the second person is trained in release, resuscitation and isolation, and does not"
    " touch the pack.",
    "Rubber gloves rated for the pack's highest voltage under leather, in date, air-tested before each use; face"
    " shield, clothing that does not melt, insulated tools and mat, no jewellery. Nitrile gloves stop alkali, not"
    " voltage.",
    "Prove the meter, test, prove the meter again. One hand where you can. Plug out and in your pocket. Caps on free"
    " lead ends.",
    "Alkali on skin: water for at least 15 minutes; in eyes: at least 30 and until medical help takes over; no"
    " neutraliser. Lithium venting: get out, much water from afar, do not go back. Hydrogen: air, no sparks.",
    "Smell, heat, hiss, swelling, or anything that forbids energizing: stop, and quarantine the pack.",
    "Limits marked 'common practice' have no published source: your responsible engineer adopts or replaces them.",
)
"""One sentence group per caution.

Sources: voltage classes after ISO 6469-3; work on live parts after EN 50110-1 and NFPA 70E article 320; glove classes
and their six-month retest after 29 CFR 1910.137; the rest is common practice of first aid and of battery rooms, no
single source.
"""
