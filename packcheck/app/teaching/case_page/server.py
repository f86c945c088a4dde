"""The page of a case over HTTP: looked at, asked, and asked again; the path file is read anew each time."""

from __future__ import annotations

import threading
from collections.abc import Callable
from functools import cache
from pathlib import Path
from urllib.parse import parse_qs

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, PlainTextResponse, RedirectResponse, Response
from starlette.routing import Route

from packcheck.app.bench.admission import Admission
from packcheck.app.teaching.case_page.shown import render_case
from packcheck.app.teaching.folder import PathFile
from packcheck.files.problems import InputProblems, WrongUsage
from packcheck.lessons.open_case import OpenCase
from packcheck.lessons.questions import question_of
from packcheck.render.html.closed_page import style
from packcheck.render.problems import render_problems
from packcheck.simulate.asked.question import KINDS, Question

LARGEST = 4 * 1024
"""Most bytes of a question."""
MOST_FIELDS = 6


class Desk:
    """One case before one trainee: its record, its path; one question at a time."""

    def __init__(self, case: OpenCase, file: PathFile) -> None:
        self.case, self.file = case, file
        self.record = (file.lesson / f"{case.name}.yaml").read_text(encoding="utf-8")
        self._lock = threading.Lock()

    def page(self, wrong: str = "", meant: Question | None = None) -> Response:
        """Return the page as it stands."""
        with self._lock:
            path = self.file.read()
        return HTMLResponse(
            render_case(self.case, path, self.file.by, self.record, wrong, meant), 422 if wrong else 200
        )

    def ask(self, words: list[str], state: str) -> Response:
        """Answer a question and lead to its reading; where it cannot be, say so over the forms."""
        meant = None
        try:
            meant = question_of(self.case.bench, words, state)
            with self._lock:
                path = self.file.ask(self.case, meant)
        except WrongUsage as wrong:
            return self.page(str(wrong), meant)
        one = path.found(meant.text)
        return RedirectResponse(f"/#q{one.number}" if one else "/#readings", 303)


def application(desk: Desk, admission: Admission) -> Starlette:
    """Return the page of one case; ``admission`` tells who is let in."""

    async def look(_request: Request) -> Response:
        return await _guarded(desk.page)

    async def ask(request: Request) -> Response:
        body = await request.body()
        if len(body) > LARGEST:
            return PlainTextResponse("a question is short", 413)
        try:
            given = parse_qs(body.decode("ascii"), max_num_fields=MOST_FIELDS, encoding="utf-8", errors="strict")
        except ValueError:
            return PlainTextResponse("no question", 400)
        word, state = (given.get(key, [""])[0] for key in ("kind", "state"))
        words = [word, *given.get("name", [])] if word else []
        return await _guarded(lambda: desk.ask(words, state if word in KINDS and KINDS[word].in_state else ""))

    routes = [
        Route("/", look, methods=["GET"]),
        Route("/ask", ask, methods=["POST"]),
        Route("/ask", lambda _: RedirectResponse("/#ask", 303), methods=["GET"]),
        Route("/record", lambda _: PlainTextResponse(desk.record), methods=["GET"]),
        Route("/page.css", lambda _: Response(style_sheet(), media_type="text/css"), methods=["GET"]),
        Route("/favicon.ico", lambda _: Response(status_code=204), methods=["GET"]),
    ]
    app = Starlette(routes=routes)
    app.add_middleware(admission.middleware)
    return app


@cache
def style_sheet() -> str:
    """Return the style of the page: that of all pages, and its own."""
    return style() + (Path(__file__).parent / "page.css").read_text(encoding="utf-8")


async def _guarded(work: Callable[[], Response]) -> Response:
    """Answer, or say in plain words why not."""
    try:
        return await run_in_threadpool(work)
    except InputProblems as wrong:
        return PlainTextResponse(render_problems(wrong.problems, width=92), 422)
    except WrongUsage as wrong:
        return PlainTextResponse(f"Not answered: {wrong}", 422)
