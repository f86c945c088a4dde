"""A blank record to be printed, in the order of the work, with boxes for a gloved hand and a pencil.

One HTML file without a script that asks for nothing from elsewhere.  It states no paper size: A4 and Letter do.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterator, Sequence
from hashlib import sha256
from html import escape

from packcheck.model.pack.model import Pack
from packcheck.model.record.cell_tables import SHEETS
from packcheck.model.record.sheets import IS
from packcheck.model.record.to_blocks import Block, Line
from packcheck.render.drawing.document import CAUTION, MARGIN
from packcheck.render.drawing.ink import HATCHES, STYLE
from packcheck.render.drawing.look import Look
from packcheck.render.drawing.plan import Plan
from packcheck.render.drawing.strips import Job, draw_strip
from packcheck.render.page import printable

WIDTH = 680.0
"""Width of a drawing [px]: what A4 and Letter have between margins of 15 mm, 96 px to the inch."""
MOST_WIDE = 8
"""Columns beyond which a table is set smaller."""
_DRAWN = frozenset({"modules", "bars", "leads", "taps", "covers"})
_SPARE = {"people": 3, "instruments": 1, "tools": 6, "work": 8, "again": 6, "notes": 6}
_LOOK = """
@page{margin:12mm}
@media screen{body{padding:4mm}.box-of-rows{overflow-x:auto}.box-of-rows table{min-width:150mm}
th[scope=row]{overflow-wrap:normal}.who{flex-wrap:wrap}.who span{min-width:30mm}}
body{font:11pt/1.3 "Liberation Sans",Arial,sans-serif;color:#000;margin:0 auto;max-width:186mm}
section.drawn{break-before:page}h2,h3,.who{break-after:avoid}
h1{font-size:16pt;margin:0 0 2mm}h2{font-size:14pt;margin:6mm 0 2mm}h3{font-size:11pt;margin:3mm 0 1mm}
p{margin:1mm 0}svg{width:100%;height:auto;break-inside:avoid}svg.none{position:absolute;width:0;height:0}
table{border-collapse:collapse;width:100%}thead{display:table-header-group}tr{break-inside:avoid}
th,td{border:.3mm solid #000;padding:.6mm 1.4mm;text-align:left;font-weight:normal;font-size:9.5pt}
th,td{overflow-wrap:anywhere}.wide{table-layout:fixed}.wide th{font-size:7.5pt;padding:.6mm}
.wide td.box{min-width:0}
th[scope=row]{font-weight:bold;font-size:11pt}thead th{border-bottom-width:.8mm;font-size:9pt}
td.box{height:9.5mm;min-width:17mm}td.beside{color:#333;border-left:none;font-size:8.5pt}
.who{display:flex;gap:3mm;margin:2mm 0}
.who span{border:.3mm solid #000;height:10mm;flex:1;padding:.5mm 1mm;font-size:8.5pt}
.tick{display:inline-block;width:5.5mm;height:5.5mm;border:.4mm solid #000;margin:0 1.5mm 0 0;vertical-align:middle}
.words{white-space:nowrap;margin-right:2mm}
"""


def paper(pack: Pack, blocks: Sequence[Block], remarks: Sequence[str] = ()) -> str:
    """Return the blocks of a blank record as one HTML document to be printed.

    Parameters
    ----------
    pack : the layout, whose faces are drawn with the parts of each stage highlighted.
    blocks, remarks : the blank record, and the lines for whoever fills it in.
    """
    title = f"Record of one build of {pack.name}, revision {pack.revision}"
    style = f"{STYLE}{_LOOK}"
    stages: dict[str, list[Block]] = {}
    for block in blocks:
        stages.setdefault(block.stage, []).append(block)
    return "\n".join([
        "<!DOCTYPE html>",
        '<html lang="en"><head><meta charset="utf-8">',
        f"""<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src '{_digest(style)}'">""",
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{_text(title)}</title>",
        f"<style>{style}</style></head><body>",
        f'<svg class="none" width="0" height="0" aria-hidden="true"><defs>{HATCHES}</defs></svg>',
        f"<main><h1>{_text(title)}</h1>",
        f"<p>Layout file {_text(pack.file.rpartition('/')[2])}, as it was when this sheet was made.</p>",
        *(f"<p>{_text(remark)}</p>" for remark in remarks[1:]),
        f"<p>{_text(CAUTION)}</p>",
        *(line for stage, parts in stages.items() for line in _stage(pack, stage, parts)),
        "</main></body></html>\n",
    ])  # fmt: skip


def _stage(pack: Pack, stage: str, parts: Sequence[Block]) -> Iterator[str]:
    words = stage[:1].upper() + stage[1:] if stage else "Pack, people, instruments"
    lit = {line.name for block in parts if block.section in _DRAWN for line in block.lines}
    yield f"{'<section class=drawn>' if lit else '<section>'}<h2>{_text(words)}</h2>"
    if lit:
        yield from _faces(pack, frozenset(lit))
    for block in parts:
        yield from _table(block)
    yield "</section>"


def _faces(pack: Pack, lit: frozenset[str]) -> Iterator[str]:
    """Yield the strips that the parts in hand lie on, drawn to scale; modules alone are shown on one face."""
    plan = Plan(pack, Look(lit=lit), WIDTH - 2 * MARGIN)
    shown: set[str] = set()
    for strip, share in zip(plan.strips, plan.shares, strict=True):
        parts = (
            {laid.name for laid in share.laid} | {tail.name for tail in share.tails} | {name for name, _ in share.taps}
        )
        covers = {cover.name for cover in pack.covers.values() if strip.face in cover.faces}
        modules = lit & set(strip.modules) - shown
        if not (modules or lit & (parts | covers)):
            continue
        shown |= modules
        shapes, height = draw_strip(Job(plan), strip, share, 16, set())
        said = _text(f"face {strip.face}, seen from the {strip.seen}")
        box = f'viewBox="0 0 {WIDTH:.0f} {height:.0f}"'
        drawn = "".join(shapes).replace('style="stroke:', 'stroke="')  # a style of its own is none of the page's
        yield f'<svg {box} role="img" aria-label="{said}">{drawn}</svg>'


def _table(block: Block) -> Iterator[str]:
    title = f"{block.section}: {block.title}" if block.title else block.section
    yield f"<h3>{_text(title)}</h3>"
    if block.taken:
        asked = [f"<span>{_text(key)}{': ' + _text(said) if said else ''}</span>" for key, said in block.taken.items()]
        yield f'<div class="who">{"".join(asked)}</div>'
    beside = list(dict.fromkeys(key for line in block.lines for key in line.beside))
    heads = [
        "number" if block.section in ("work", "again", "notes") else "name",
        *(c.heading for c in block.columns),
        *beside,
    ]
    set_as = "<table class=wide>" if len(heads) > MOST_WIDE else "<table>"
    headings = "".join(f'<th scope="col">{_text(head)}</th>' for head in heads)
    yield f'<div class="box-of-rows" tabindex="0" role="group" aria-label="{_text(title)}">'
    yield f"{set_as}<thead><tr>{headings}</tr></thead><tbody>"
    spare = [Line("", {})] * _SPARE.get(block.section, 0)
    rows = [line for line in block.lines if block.section != "pack" or line.cells.get("value") is None]
    for line in (*rows, *spare):
        boxes = "".join(f'<td class="box">{_box(block, line, column.name)}</td>' for column in block.columns)
        said = "".join(f'<td class="beside">{_text(line.beside.get(key, ""))}</td>' for key in beside)
        yield f'<tr><th scope="row">{_text(line.name)}</th>{boxes}{said}</tr>'
    yield "</tbody></table></div>"


def _box(block: Block, line: Line, column: str) -> str:
    """Return what stands in a box already, or the words to tick; nothing where a number or a name goes."""
    value = line.cells.get(column)
    if value is not None:
        return _text(str(value))
    sheet = SHEETS.get(block.section)
    words = () if sheet is None else sheet.words if column == IS else getattr(sheet.columns.get(column), "words", ())
    if not line.name or not words or len(words) > 3:
        return ""
    return " ".join(f'<span class="words"><span class="tick"></span>{_text(word)}</span>' for word in words)


def _digest(style: str) -> str:
    """Return what a browser knows a style by: no other one is taken from the page."""
    return f"sha256-{b64encode(sha256(style.encode()).digest()).decode()}"


def _text(text: str) -> str:
    return escape(printable(text))
