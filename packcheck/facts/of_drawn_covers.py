"""Facts about what a layout draws around the modules: what its covers lie over, and whom its vent lines serve."""

from __future__ import annotations

from collections.abc import Iterator

from packcheck.files.name_lists import list_places
from packcheck.files.names import RangeProblem, expand_names
from packcheck.model.pack.model import Pack
from packcheck.model.pack.order import Covers
from packcheck.model.pack.parts import insulated_places
from packcheck.model.pack.types import Cover
from packcheck.model.record.vents import INSIDE
from packcheck.network.vent_path import outlet_of
from packcheck.rules.catalogue import Row, Value

_SIDES = frozenset(
    ("top", "bottom", "front", "back", "left", "right", "rear", "lid", "floor", "whole pack", "connectors")
)
"""Sides of a pack that need have no posts: a lid over the whole is a cover too."""


def drawn_cover_rows(pack: Pack) -> Iterator[Row]:
    """Yield one row per cover: whether the layout knows what it lies over, and how many posts lie under it."""
    covers, under = Covers(pack), dict.fromkeys(pack.covers, 0)
    for position in pack.positions.values():
        for post in pack.module_type_at(position.name).posts:
            for name in covers.over_place(f"{position.name}.{post}"):
                under[name] += 1
    named = _named(pack)
    for cover in pack.covers.values():
        has_posts = bool(cover.faces) or cover.over in named["posts"]
        values: dict[str, Value] = {
            "cover": cover.name,
            "over": cover.over,
            "known": has_posts or _known(cover, named["others"]),
            "over_posts": has_posts,
            "posts": under[cover.name],
            "words": ", ".join([*pack.faces, *list(dict.fromkeys(pack.faces.values())), *sorted(named["trays"])]),
        }
        place, origin = f"cover {cover.name} over {cover.over}", pack.origins.get(cover.name)
        yield Row(cover.name, values, {}, frozenset((cover.name,)), place, "", origin)


def _named(pack: Pack) -> dict[str, frozenset[str]]:
    trays = frozenset(position.tray for position in pack.positions.values() if position.tray)
    groups = frozenset(position.group for position in pack.positions.values())
    return {
        "trays": trays,
        "posts": trays | groups | frozenset(pack.positions),
        "others": frozenset((*pack.conductors, *pack.devices, *pack.harness)) | _SIDES,
    }


def _known(cover: Cover, words: frozenset[str]) -> bool:
    try:
        return all(name in words for name in expand_names(cover.over))
    except RangeProblem:
        return False


def vented(pack: Pack) -> dict[str, Value]:
    """Return whether the vent lines, where there are any, serve every module, and which they miss."""
    served = {name for line in pack.vents.values() for name in _list(line.get("over"))}
    missed = [name for name in pack.positions if name not in served] if pack.vents else []
    endless = [name for name in pack.vents if outlet_of(pack, name) in ("", INSIDE)]
    return {
        "has_vents": bool(pack.vents),
        "vents_serve_all": not missed,
        "unvented": list_places(missed),
        "vents_lead_out": not endless,
        "vents_without_outlet": list_places(endless),
        "vent_lines": ", ".join(
            f"{name} over {list_places(_list(line.get('over')))}" for name, line in pack.vents.items()
        ),
    }


_OVER_ALL = frozenset(("whole pack", "lid"))
"""Words of ``over:`` that leave nothing of a pack in reach."""


def uncovered(pack: Pack) -> dict[str, Value]:
    """Return the places that lie under no cover and under no insulating cap once all is fitted as drawn."""
    covers, capped = Covers(pack), insulated_places(pack)
    closed = any(cover.over in _OVER_ALL for cover in pack.covers.values())
    bare = [] if closed else [place for place in pack.places if place not in capped and not covers.over_place(place)]
    faces = dict.fromkeys(pack.face_of(place) for place in bare)
    return {
        "posts_uncovered": len(bare),
        "posts_uncovered_names": list_places(bare) if bare else "none",
        "faces_uncovered": ", ".join(f"face {face}" for face in faces if face) or "no face",
    }


def _list(words: object) -> list[str]:
    return [str(word) for word in words] if isinstance(words, list | tuple) else []
