"""The look of a drawing: a few quiet colours, each told apart in grey print too by shape, hatch or line.

Every text colour stands on grounds on which it reads at 4.5 to 1 or more (WCAG 2.2, clause 1.4.3); a test reckons it.
"""

from __future__ import annotations

import re

PAPER, INK, FAINT = "#ffffff", "#16181d", "#4b5563"
CASE, CASE_LINE = "#eef1f4", "#6b7280"
METAL, METAL_LINE = "#e6c08f", "#4a2c0a"
PLUS, MINUS = "#8f1d1d", "#1d2f5e"
STOP, FIX, OPEN, ADVICE = "#9b1c1c", "#7a3e00", "#1d3f8f", "#3d4653"
LIT = "#0b6e99"

TEXT_ON: dict[str, tuple[str, ...]] = {
    INK: (PAPER, CASE, METAL),
    FAINT: (PAPER, CASE),
    PAPER: (STOP, FIX, "#000"),
    STOP: (PAPER, CASE),
    OPEN: (PAPER, CASE),
    ADVICE: (PAPER, CASE),
    LIT: (PAPER, CASE),
}
"""Which colours of type stand on which grounds."""

IN_DARK = {
    PAPER: "#1a1e24", "#fff": "#1a1e24", INK: "#e8eaee", "#000": "#f4f5f7", FAINT: "#aab2bf",
    CASE: "#2a303a", CASE_LINE: "#8b95a3", METAL: "#6b4a1f", METAL_LINE: "#f0cf9f",
    PLUS: "#ffb3ab", MINUS: "#b7ccff", STOP: "#ff9c94", FIX: "#f4b26a", OPEN: "#9fbcff", ADVICE: "#c3cad5",
    LIT: "#6cc6f2",
}  # fmt: skip
"""What each ink becomes on a dark page."""


def in_dark(style: str) -> str:
    """Return a style with every ink as it is on a dark page."""
    return re.sub(r"#[0-9a-f]{6}\b|#(?:fff|000)\b", lambda found: IN_DARK[found[0]], style)


STYLE = (
    "text{font-family:'Liberation Sans',Arial,Helvetica,sans-serif;fill:" + INK + "}"
    ".xs{font-size:8.5px}.s{font-size:10px}.m{font-size:13px}.l{font-size:19px;font-weight:bold}"
    ".xl{font-size:40px;font-weight:bold}.bold{font-weight:bold}"
    f".faint{{fill:{FAINT}}}.white{{fill:{PAPER}}}.stop{{fill:{STOP}}}.open{{fill:{OPEN}}}.advice{{fill:{ADVICE}}}"
    f".lit{{fill:{LIT}}}"
    f".sheet,.pad{{fill:{PAPER}}}"
    f".case{{fill:{CASE};stroke:{CASE_LINE};stroke-width:1}}"
    f".case-unknown{{fill:{PAPER};stroke:{CASE_LINE};stroke-width:1;stroke-dasharray:5 3}}"
    f".gone{{fill:none;stroke:{INK};stroke-width:1.2;stroke-dasharray:2 3}}"
    f".metal{{fill:{METAL};stroke:{METAL_LINE};stroke-width:1.3}}"
    f".metal-unknown{{fill:url(#open);stroke:{METAL_LINE};stroke-width:1.3;stroke-dasharray:5 3}}"
    f".metal-bare{{fill:#000;stroke:#000;stroke-width:1.3}}"
    f".metal-under{{fill:url(#hatch);stroke:#000;stroke-width:1}}"
    ".metal-line,.metal-line-bare,.metal-line-unknown{fill:none;stroke-linecap:round;stroke-linejoin:round}"
    f".metal-line{{stroke:{METAL}}}.metal-line-bare{{stroke:#000}}.metal-line-unknown{{stroke:{PAPER}}}"
    f".metal-edge{{fill:none;stroke:{METAL_LINE};stroke-linecap:round;stroke-linejoin:round}}"
    f".plus{{fill:{PLUS};stroke:{PLUS};stroke-width:1.4}}.minus{{fill:{PAPER};stroke:{MINUS};stroke-width:1.6}}"
    f".plan{{stroke-dasharray:3 2}}.plus.plan{{fill:{PAPER}}}"
    f".sign{{fill:none;stroke-width:1.8}}.sign-plus{{stroke:{PAPER}}}.sign-minus{{stroke:{MINUS}}}"
    f".sign-plan{{stroke:{PLUS}}}"
    f".wire{{fill:none;stroke:{INK};stroke-width:3;stroke-linecap:round}}"
    f".thin{{fill:none;stroke:{FAINT};stroke-width:.8}}.line{{fill:none;stroke:{INK};stroke-width:1.5}}"
    f".flow{{fill:none;stroke:{FAINT};stroke-width:1;stroke-dasharray:7 3}}.head{{fill:{INK}}}"
    f".lid{{fill:none;stroke:{INK};stroke-width:1.2;stroke-dasharray:10 4}}.lid-on{{stroke-dasharray:none}}"
    f".tag{{fill:{PAPER};stroke:{INK};stroke-width:1.1}}.dot{{fill:{INK}}}.ring{{fill:{PAPER};stroke:{INK}}}"
    f".halo{{fill:none;stroke:{LIT};stroke-width:3.5}}"
    f".mark-stop{{fill:{STOP};stroke:{STOP}}}.mark-fix{{fill:{FIX};stroke:{FIX}}}"
    f".mark-open{{fill:{PAPER};stroke:{OPEN};stroke-width:1.6}}"
    f".mark-coarse{{fill:{PAPER};stroke:{OPEN};stroke-width:1.6;stroke-dasharray:3 2}}"
    f".mark-advice{{fill:{PAPER};stroke:{ADVICE};stroke-width:1}}"
    ".tool-edge{stroke:#000;stroke-width:11;stroke-linecap:round}.tool{stroke:#fff;stroke-width:7;stroke-linecap:round}"
    ".tool-core{stroke:#000;stroke-width:1.6;stroke-dasharray:5 4}"
)
HATCHES = (
    '<pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<rect width="6" height="6" fill="#fff"/><line x1="0" y1="0" x2="0" y2="6" stroke="#000" stroke-width="1.6"/>'
    '</pattern><pattern id="open" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    f'<rect width="7" height="7" fill="#fff"/><line x1="0" y1="0" x2="0" y2="7" stroke="{METAL}" stroke-width="2"/>'
    "</pattern>"
)
