"""Facts about bars, links and leads, of the layout and beyond it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from packcheck.facts.confirmed_by_readings import Confirmed
from packcheck.facts.evidence import PATH, Evidence, face_of_conductor, with_sign
from packcheck.files.name_lists import list_places
from packcheck.model.pack.model import Conductor, Pack
from packcheck.model.record.abilities import plain_name
from packcheck.model.record.model import FittedConductor, Record
from packcheck.network.graph import same_landings
from packcheck.rules.catalogue import Datum, Row, Value

SOUND = "sound"
NOT_TOLD = "not recorded"
MOST_DOUBLES = 20
"""How many conductors beside one are named; more would be a list nobody reads, and each is named beside its own."""


def conductor_rows(evidence: Evidence, confirmed: Confirmed) -> Iterator[Row]:
    """Yield one row per conductor of the layout, then one per conductor fitted beyond it."""
    record, pack = evidence.record, evidence.pack
    joined_by = _joined_by(evidence)
    for conductor in pack.conductors.values():
        fitted = record.conductors.get(conductor.name) if record else None
        yield _planned_conductor(evidence, conductor, fitted, confirmed, joined_by)
    for name, fitted in record.conductors.items() if record else ():
        if name not in pack.conductors:
            yield _stray_conductor(evidence, fitted, joined_by)


def _joined_by(evidence: Evidence) -> dict[frozenset[str], list[str]]:
    """Return which fitted conductors join each set of nodes."""
    lands: dict[str, set[str]] = {}
    for edge in evidence.built_edges:
        if edge.kind == "joint":
            lands.setdefault(edge.part, set()).add(edge.start)
    joined: dict[frozenset[str], list[str]] = {}
    for name, nodes in lands.items():
        joined.setdefault(frozenset(nodes), []).append(name)
    return joined


def _signs(record: Record | None, pack: Pack, nodes: Iterable[str]) -> set[str] | None:
    """Return the signs of the posts among some nodes, as recorded; None when one was not recorded."""
    signs: set[str] = set()
    for node in nodes:
        place = pack.places.get(node)
        if place is None:
            continue
        module = record.modules.get(place.position) if record else None
        plus = module.plus if module else None
        if plus is None:
            return None
        signs.add("+" if plus == place.post else "−")
    return signs


def _planned_conductor(
    evidence: Evidence,
    conductor: Conductor,
    fitted: FittedConductor | None,
    confirmed: Confirmed,
    joined_by: dict[frozenset[str], list[str]],
) -> Row:
    pack, record, name = evidence.pack, evidence.record, conductor.name
    planned = [landing.node for landing in conductor.lands]
    drawn_to = _to(pack, planned)
    lands = list(fitted.lands) if fitted and fitted.lands is not None else None
    as_drawn = None if lands is None or fitted is None else same_landings(conductor, fitted)
    carries = name in evidence.drawn.between
    between = evidence.lies_between(name) if fitted and fitted.fitted else None
    branch = not carries and name in evidence.drawn.served
    planned_signs = {sign for node in planned if (sign := pack.polarity_of(node))}
    signs = _signs(record, pack, lands) if lands is not None else None
    doubles = [n for n in joined_by.get(frozenset(lands or ()), []) if n != name and n in pack.conductors]
    doubled = bool(doubles) and as_drawn is False
    values: dict[str, Value] = {
        "conductor": name,
        "kind": conductor.kind,
        "planned": True,
        "fitted": None if fitted is None else fitted.fitted,
        "planned_lands": drawn_to,
        "lands": drawn_to if lands == planned else None if lands is None else _to(pack, lands),
        "lands_as_drawn": as_drawn,
        "posts_as_drawn": None if signs is None else signs == planned_signs,
        "joins_like_posts": None if signs is None else len(planned_signs) == 2 and len(signs) == 1,
        "doubles_another": None if lands is None else doubled,
        "doubles": list_places(doubles) if doubled else "",
        "joins_anew": lands is not None and not doubled,
        "bypasses_disconnect": None if as_drawn is None else not as_drawn and name in evidence.bypassing,
        "carries_pack_current": carries,
        "serves_branch": branch,
        "in_branch": evidence.is_served(name) if branch and fitted and fitted.fitted else None,
        "confirmable": evidence.drawn.has_module_beside(name) and name not in evidence.drawn.side_by_side,
        "in_current_path": between,
        "confirmed": confirmed.conductor(name),
        "planned_part": conductor.part,
        "part": fitted.part if fitted else None,
        "part_as_drawn": None if fitted is None or fitted.part is None else fitted.part == conductor.part,
        "inspected": fitted is not None and fitted.condition is not None,
        "condition_recorded": True if fitted is not None and fitted.condition is not None else None,
        "condition": fitted.condition if fitted else None,
        **_looked_at(record, name),
    }
    if not conductor.part:
        values["part_as_drawn"] = True
    face = face_of_conductor(pack, conductor)
    missing = {"confirmed": confirmed.datum(name, Datum("voltage across it", name, "multimeter", face))}
    if not evidence.built.is_certain:
        missing["in_current_path"] = missing["in_branch"] = evidence.fitted_datum
    if fitted is None:
        missing["lands_as_drawn"] = missing["lands"] = Datum("whether it is fitted", name, "eyes", face)
        missing["doubles_another"] = missing["part"] = missing["part_as_drawn"] = missing["lands"]
    if signs is None:
        missing["joins_like_posts"] = missing["posts_as_drawn"] = _facing_datum(record, pack, lands or planned, name)
    touches = {name, *(pack.part_at(n) for n in (*planned, *(lands or ())))}
    if carries and (fitted is None or fitted.fitted is not True or as_drawn is False or between is not True):
        touches.add(PATH)
    if not confirmed.conductor(name) and confirmed.tried(name):
        touches.add(PATH)
    touches |= confirmed.unfit_across(name)
    place = f"{conductor.kind} {name}, drawn {drawn_to}"
    origin = (fitted.origin if fitted else None) or pack.origins.get(name)
    return Row(name, values, missing, frozenset(touches), place, face, origin)


def _looked_at(record: Record | None, name: str) -> dict[str, Value]:
    """Return how a conductor was found before it was called sound, and whether that was not one person's word alone."""
    looks = [one for one in record.amended if one.subject == name and one.column == "condition"] if record else []
    damaged = [number for number, one in enumerate(looks) if one.first not in (SOUND, NOT_TOLD)]
    if not damaged:
        return {"first_condition": "", "second_opinion": False}
    since = looks[damaged[-1] :]
    first, found = plain_name(since[0].first_by), {plain_name(one.by) for one in since if one.later == SOUND}
    others = found - {first, ""}
    settled: bool | None = any(one.replaced for one in since) or len(others) > (0 if first else 1)
    if not settled and (not first or "" in found):
        settled = None
    return {"first_condition": since[0].first, "second_opinion": settled}


def _facing_datum(record: Record | None, pack: Pack, nodes: Iterable[str], conductor: str) -> Datum:
    """Return the first facing to record among the posts a conductor joins; its own fitting where none is lacking."""
    for node in nodes:
        place = pack.places.get(node)
        module = record.modules.get(place.position) if record and place else None
        if place and (module is None or module.plus is None):
            return Datum("post at which + is", place.position, "eyes", _plus_face(pack, place.position))
    return Datum("whether it is fitted", conductor, "eyes", face_of_conductor(pack, pack.conductors[conductor]))


def _plus_face(pack: Pack, position: str) -> str:
    return pack.face_of(pack.positions[position].plus_place)


def _stray_conductor(evidence: Evidence, fitted: FittedConductor, joined_by: dict[frozenset[str], list[str]]) -> Row:
    pack, name, lands = evidence.pack, fitted.name, list(fitted.lands or ())
    doubles = [n for n in joined_by.get(frozenset(lands), [])[: MOST_DOUBLES + 1] if n != name]
    values: dict[str, Value] = {
        "conductor": name,
        "kind": "bar" if fitted.section == "bars" else "lead",
        "planned": False,
        "fitted": fitted.fitted,
        "planned_lands": "",
        "lands": _to(pack, lands),
        "lands_as_drawn": False,
        "joins_like_posts": False,
        "posts_as_drawn": True,
        "doubles_another": bool(doubles),
        "doubles": list_places(doubles),
        "joins_anew": not doubles,
        "bypasses_disconnect": name in evidence.bypassing,
        "carries_pack_current": False,
        "serves_branch": False,
        "confirmable": False,
        "in_current_path": evidence.lies_between(name),
        "confirmed": True,
        "planned_part": "",
        "part": fitted.part,
        "part_as_drawn": True,
        "condition": fitted.condition,
        **_looked_at(evidence.record, name),
        "inspected": fitted.condition is not None,
        "condition_recorded": True if fitted.condition is not None else None,
    }
    touches = {name, PATH, *(pack.part_at(node) for node in lands), *doubles}
    return Row(
        name,
        values,
        {},
        frozenset(touches),
        f"{values['kind']} {name}, found {_to(pack, lands)}",
        next((f for node in lands if (f := pack.face_of(node))), ""),
        fitted.origin,
    )


def _to(pack: Pack, nodes: Sequence[str]) -> str:
    return " to ".join(with_sign(pack, node) for node in nodes)
