"""The command ``packcheck lesson page``: a page on this machine on which a trainee asks about one case."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from packcheck.app.exits import FINE, printable
from packcheck.app.teaching.ask import CASE_HELP, By
from packcheck.app.teaching.passphrase import Secret, passphrase_of

USUAL_PORT = 8415


def page(
    case: Annotated[Path, typer.Argument(metavar="CASE", help=CASE_HELP)],
    by: By,
    port: Annotated[int, typer.Option(metavar="NUMBER", help="Port of the page; 0 takes a free one.")] = USUAL_PORT,
    elsewhere: Annotated[
        bool, typer.Option("--from-elsewhere", help="Let one other machine in, by a key that is printed once.")
    ] = False,
    passphrase: Secret = None,
) -> int:
    """Serve a page with the brief and the record of a case, on which its trainee asks for one more measurement.

    \b
    Example:
      packcheck lesson page lesson-1/case-03.yaml --by MK
    """
    from packcheck.app.bench.command import require_server, serve_page

    require_server()
    from packcheck.app.bench.admission import FORMS, Admission
    from packcheck.app.teaching.case_page.server import Desk, application
    from packcheck.app.teaching.folder import PathFile, open_key, stand_again

    lesson = case.parent
    key = open_key(lesson, case.name.removesuffix(".yaml"), passphrase_of(passphrase))
    file = PathFile(lesson, key, by)
    desk = Desk(stand_again(lesson, key), file)
    file.read()
    serve_page(
        lambda port, key: application(desk, Admission(port, key, FORMS)), port, elsewhere=elsewhere,
        what=f"Page of {printable(desk.case.name)} for {printable(by)}", kept="Every question is in the path file",
    )  # fmt: skip
    return FINE
