"""The options that several commands have, each said once."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from packcheck.app.completing import gates

Layout = Annotated[
    Path | None,
    typer.Option("--layout", metavar="FILE", help="The layout of a record, where it is not beside it."),
]
Force = Annotated[bool, typer.Option("--force", help="Write over a file that packcheck did not write.")]
Output = Annotated[
    Path | None, typer.Option("-o", "--output", metavar="FILE", help="Write to a file, whole or not at all.")
]
ShopProfile = Annotated[
    Path | None, typer.Option("--profile", metavar="FILE", help="Shop profile: adopted limits, waivers.")
]
RulesFolder = Annotated[
    list[Path] | None,
    typer.Option("--rules", metavar="FOLDER", help="Rules of your own; may be given again."),
]
UpToGate = Annotated[
    str,
    typer.Option("--gate", autocompletion=gates, help="'fit bars', 'plug in', 'close contactors' or 'release'."),
]
