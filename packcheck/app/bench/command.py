"""The command ``packcheck bench``: a page on this machine in which a record is filled in beside the pack."""

from __future__ import annotations

import signal
import socket
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from packcheck.app.arguments import rules_and_profile
from packcheck.app.exits import FINE, printable, say
from packcheck.app.options import RulesFolder, ShopProfile
from packcheck.files.problems import WrongUsage

if TYPE_CHECKING:
    from collections.abc import Callable

    from starlette.applications import Starlette

HERE, EVERYWHERE = "127.0.0.1", "0.0.0.0"
USUAL_PORT = 8414
INSTALL = "the bench page needs Starlette and uvicorn, which are not installed: pip install 'packcheck[bench]'"


def bench(
    layout: Annotated[Path, typer.Argument(metavar="LAYOUT", help="The layout that the pack is built to.")],
    record: Annotated[Path, typer.Option("--record", metavar="FILE", help="The record; begun where there is none.")],
    serial: Annotated[str, typer.Option("--pack", metavar="SERIAL", help="Serial of the pack, for a new record.")] = "",
    port: Annotated[int, typer.Option(metavar="NUMBER", help="Port of the page; 0 takes a free one.")] = USUAL_PORT,
    elsewhere: Annotated[
        bool, typer.Option("--from-elsewhere", help="Let one other machine in, by a key that is printed once.")
    ] = False,
    profile: ShopProfile = None,
    rules: RulesFolder = None,
) -> int:
    """Serve a page in which the record of a build is filled in beside the pack, each entry judged at once.

    \b
    Example:
      packcheck bench layouts/skerry-24/skerry-24.yaml --record sk-0500.yaml --pack SK-0500
    """
    require_server()
    from packcheck.app.bench.admission import Admission
    from packcheck.app.bench.desk import Desk, hold, release
    from packcheck.app.bench.server import application
    from packcheck.files.document import read_bytes, shown_name
    from packcheck.model.opening import Text

    held_to, shop = rules_and_profile(rules, profile)
    text = Text(read_bytes(layout), shown_name(layout))
    handle = hold(record)
    try:
        desk = Desk(text, record, serial, held_to, shop)
        desk.seen()
        serve_page(
            lambda port, key: application(desk, Admission(port, key)), port, elsewhere=elsewhere,
            what=f"Bench page of {printable(desk.pack.name)}, record {printable(str(desk.path))}",
            kept="Every entry is in the file",
        )  # fmt: skip
    finally:
        release(record, handle)
    return FINE


def require_server() -> None:
    """Say how to install what serves pages, where it is not.

    Raises
    ------
    WrongUsage : it is not installed.
    """
    try:
        import starlette  # noqa: F401
        import uvicorn  # noqa: F401
    except ImportError:
        raise WrongUsage(INSTALL) from None


def _listen(host: str, port: int) -> socket.socket:
    """Return a socket that listens.

    Raises
    ------
    WrongUsage : the port is taken, or may not be used.
    """
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((host, port))
        listening.listen()
    except (OSError, OverflowError) as wrong:
        listening.close()
        reason = getattr(wrong, "strerror", None) or wrong
        raise WrongUsage(f"--port {port}: {reason}; name another, or 0 for any that is free") from wrong
    return listening


def serve_page(page: Callable[[int, str], Starlette], port: int, *, elsewhere: bool, what: str, kept: str) -> None:
    """Say where a page is, and answer what comes in until the program is stopped.

    Parameters
    ----------
    page : makes the page, given the port and the key; "" where no other machine is let in.
    port : where it listens; 0 takes a free one.
    elsewhere : whether one other machine is let in, by a key that is printed once.
    what : the page, in words.
    kept : what is in its file when the page has answered, in words.

    Raises
    ------
    WrongUsage : the port is taken, or may not be used.
    """
    import uvicorn

    from packcheck.app.bench.admission import new_key

    listening, key = _listen(EVERYWHERE if elsewhere else HERE, port), new_key() if elsewhere else ""
    port = listening.getsockname()[1]
    say(f"{what}: http://localhost:{port}/\n")
    if key:
        say(f"From one other machine: http://ADDRESS-OF-THIS-MACHINE:{port}/?key={key} (the key works once)\n")
    say(f"{kept} when the page has answered. Stop with Ctrl-C.\n")
    config = uvicorn.Config(
        page(port, key), log_level="error", access_log=False, ws="none", lifespan="off",
        server_header=False, timeout_graceful_shutdown=2,
    )  # fmt: skip
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(FINE))  # uvicorn ends, then passes the signal on
    uvicorn.Server(config).run(sockets=[listening])
