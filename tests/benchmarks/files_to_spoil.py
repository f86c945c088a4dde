"""The files that are spoilt: shipped, demonstration and generated layouts and records, the rules, a profile."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from demonstrations import KEPT
from workshop import clean_record, grouped_layout, pack_of, stick_layout, to_yaml

from packcheck.files.document import parse_document
from packcheck.files.shipped import shipped_folder

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
    for data in (stick_layout(6), grouped_layout(4, 2)):
        layouts.append(Seed("layout", f"{data['name']}.yaml", to_yaml(data)))
    for layout in layouts:
        pack = pack_of(parse_document(layout.text, layout.name).root, layout.name)
        text = to_yaml(clean_record(pack))
        records.append(Seed("record", layout.name.replace(".yaml", "-record.yaml"), text, layout.text, layout.name))
    rules = [
        Seed("rule", file.name, file.read_text(encoding="utf-8"))
        for file in sorted(shipped_folder("rules").rglob("*.yaml"))
    ]
    return tuple(layouts), tuple(records), tuple(rules), (Seed("profile", "profile.yaml", PROFILE),)
