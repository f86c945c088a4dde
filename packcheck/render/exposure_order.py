"""The proposed order of work as YAML, to be pasted into the layout in the place of its own."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from packcheck.exposure.answer import Answer
from packcheck.files.document.yaml_text import plain
from packcheck.files.name_lists import compress_names
from packcheck.model.pack.order import Stage
from packcheck.render.exposure_words import merit_words

WIDTH = 100
_PLANNED = "class B"


def render_order(answer: Answer) -> str:
    """Return the section ``order:`` of a layout, whole, with a comment that says what it comes to.

    The step at which a section first passes 60 V carries the words ``class B``, which plan it and all after it so.
    """
    proposal, pack = answer.proposal, answer.pack
    head = (
        f"Proposed order of work for {pack.name} revision {pack.revision}: {merit_words(proposal.merit)}. It permits"
        " nothing. An engineer reads it, and puts it into the layout in the place of the order there."
    )
    lines = textwrap.wrap(head, WIDTH, initial_indent="# ", subsequent_indent="# ")
    passing = proposal.passing
    first = None if passing is None else passing.stage or proposal.stages[0]
    lines += ["order:", *(line for stage in proposal.stages for line in _step(stage, planned=stage is first))]
    return "\n".join(lines) + "\n"


def _step(stage: Stage, *, planned: bool) -> Iterator[str]:
    words = [plain(word) for word in (*compress_names(stage.items), *([_PLANNED] if planned else []))]
    line = ""
    for index, word in enumerate(words):
        piece = f"{word}{', ' if index < len(words) - 1 else ']'}"
        if line and len(line) + len(piece) > WIDTH:
            yield line.rstrip()
            line = f"     {piece}"
        else:
            line += piece if line else f"  - [{piece}"
    yield line
