"""The bench page over HTTP, for this machine: the page, the state of the record, entries, the drawing."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, Response
from starlette.routing import Route

from packcheck.app.bench.admission import Admission
from packcheck.app.bench.desk import Desk, Refused, Seen
from packcheck.app.bench.entries import Entry, NotAnEntry, entries_of
from packcheck.files.memory import collection_held_off
from packcheck.files.problems import InputProblems, WrongUsage
from packcheck.judging.one_entry import broken_at_once
from packcheck.judging.to_do import walk
from packcheck.model.record.told_cells import told_cells
from packcheck.render.bench import card_data, faults_of, fresh, view
from packcheck.render.drawing.bench import STYLE_SHEET, draw_in_hand
from packcheck.render.problems import render_problems
from packcheck.render.terminal import render_terminal
from packcheck.rules.findings import Gate

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

PAGE = Path(__file__).resolve().parent / "page"
FILES = {
    "/": ("index.html", "text/html"),
    "/bench.css": ("bench.css", "text/css"),
    "/bench.js": ("bench.js", "text/javascript"),
    "/keys.js": ("keys.js", "text/javascript"),
    "/cards.js": ("cards.js", "text/javascript"),
    "/dialogs.js": ("dialogs.js", "text/javascript"),
}
LARGEST = 64 * 1024
"""Most bytes of an entry."""


def application(desk: Desk, admission: Admission) -> Starlette:
    """Return the page of one record; ``admission`` tells who is let in."""
    answers = _Answers(desk)
    routes = [Route(path, _file(*named), methods=["GET"]) for path, named in FILES.items()]
    routes += [
        Route("/ink.css", lambda _: Response(STYLE_SHEET, media_type="text/css"), methods=["GET"]),
        Route("/favicon.ico", lambda _: Response(status_code=204), methods=["GET"]),
        Route("/state", answers.state, methods=["GET"]),
        Route("/answer", answers.answer, methods=["GET"]),
        Route("/drawing", answers.drawing, methods=["GET"]),
        Route("/again", answers.again, methods=["GET"]),
        Route("/tell", answers.tell, methods=["POST"]),
    ]
    app = Starlette(routes=routes)
    app.add_middleware(admission.middleware)
    return app


def state_of(desk: Desk, seen: Seen, stage: str, since: str = "") -> dict[str, Any]:
    """Return what the page shows of a record as it stands, as plain data, and what is broken anew since a version."""
    report, before = desk.judged(seen), desk.judged_before(since)
    order = {one: number for number, one in enumerate(desk.told, 1)}
    told = sorted(told_cells(seen.record.document.root), key=lambda c: (order.get((c.section, c.subject), 0), c.at))
    found = fresh(report.judgement.findings, faults_of(before.judgement.findings)) if before else []
    shown = view(seen.opened, report, told, stage)
    return {"version": seen.version, "file": desk.path.name, **shown, "fresh": found}


def tell(desk: Desk, version: str, mark: str, entries: Sequence[Entry]) -> dict[str, Any]:
    """Put entries into the record and return what they show to be broken by themselves; the whole is judged after it.

    Raises
    ------
    Refused, InputProblems : as ``Desk.tell``.
    """
    with collection_held_off():
        before, after = desk.tell(version, mark, entries)
        known = desk.judged_before(before.version)
        faults = faults_of(walk(known.judgement.findings)) if known else ()
        subjects = {entry.subject for entry in entries}
        found = broken_at_once(after.opened, desk.rules, desk.profile, entries[0].section, subjects)
        return {"version": after.version, "fresh": fresh(found, faults)}


def _file(name: str, kind: str) -> Callable[[Request], Response]:
    content = (PAGE / name).read_bytes()
    return lambda _: Response(content, media_type=f"{kind}; charset=utf-8")


class _Answers:
    """What the page asks for; what takes long runs beside the loop."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk

    async def state(self, request: Request) -> Response:
        """Answer what the record says now."""
        stage, since = (request.query_params.get(key, "") for key in ("stage", "since"))
        return await self._guarded(lambda: JSONResponse(state_of(self.desk, self.desk.seen(), stage, since)))

    async def answer(self, request: Request) -> Response:
        """Answer the whole judgement at a gate, as text."""
        gate = next((gate for gate in Gate if gate.value == request.query_params.get("gate")), Gate.RELEASE)
        return await self._guarded(lambda: PlainTextResponse(render_terminal(self.desk.judged_at(gate), width=92)))

    async def drawing(self, request: Request) -> Response:
        """Answer the drawing of what is in hand."""
        parts = request.query_params.get("parts", "").split(",")
        wide = request.query_params.get("width", "")
        width = min(max(int(wide), 320), 1600) if wide.isdecimal() else 760

        def draw() -> Response:
            seen = self.desk.seen()
            report = self.desk.judged(seen)
            svg = draw_in_hand(seen.opened, report, self.desk.table_of, set(filter(None, parts)), width)
            return Response(svg, media_type="text/plain; charset=utf-8")

        return await self._guarded(draw)

    async def again(self, request: Request) -> Response:
        """Answer the question by which a cell is told a second time."""
        from packcheck.judging.asking import card_again

        asked = request.query_params

        def ask() -> Response:
            opened = self.desk.seen().opened
            card = card_again(opened, asked.get("section", ""), asked.get("subject", ""), asked.get("column", ""))
            return JSONResponse(card_data(card)) if card else PlainTextResponse("nothing to tell again", 404)

        return await self._guarded(ask)

    async def tell(self, request: Request) -> Response:
        """Put an entry into the record and answer that it is there; the judgement is asked for by itself."""
        body = await request.body()
        if len(body) > LARGEST:
            return PlainTextResponse("an entry is short", 413)
        try:
            data = json.loads(body)
            if not isinstance(data, dict):
                raise NotAnEntry("an entry is a mapping")
            entries = entries_of(data)
        except ValueError as wrong:
            return PlainTextResponse(f"no entry: {wrong}", 400)
        return await self._guarded(lambda: self._told(data, entries))

    def _told(self, data: Mapping[str, Any], entries: Sequence[Entry]) -> Response:
        version, mark = (str(data.get(key, "")) for key in ("version", "mark"))
        try:
            return JSONResponse(tell(self.desk, version, mark, entries))
        except Refused as refused:
            status = 409 if refused.kind == "conflict" else 422
            return JSONResponse({"refused": refused.kind, "words": refused.words}, status)

    async def _guarded(self, work: Callable[[], Response]) -> Response:
        """Answer, or say in plain words why not."""
        try:
            return await run_in_threadpool(work)
        except InputProblems as wrong:
            return JSONResponse({"refused": "unread", "words": render_problems(wrong.problems, width=92)}, 422)
        except WrongUsage as wrong:
            return JSONResponse({"refused": "disk", "words": f"Not written: {wrong}"}, 507)
