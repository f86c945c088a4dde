"""The page of a case as HTML: plain forms, no script; it shows what its trainee may know, and nothing of the key."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from packcheck.app.teaching.brief import sections_of
from packcheck.lessons.costs import ABOVE_60_V, BUDGET, COSTS, LIVE, VOLTAGE_KINDS
from packcheck.lessons.open_case import OpenCase
from packcheck.lessons.paths import Asked, Path
from packcheck.render.drawing.ink import HATCHES
from packcheck.render.html.element import Child, Markup, drawn, element
from packcheck.render.page import plural
from packcheck.simulate.asked.question import KINDS, Question, states_of

HEADINGS = {"ask": "Ask", "readings": "Readings so far", "record": "The record", "drawing": "The pack as drawn",
            "asked": "What is asked", "causes": "Causes"}  # fmt: skip


def render_case(
    case: OpenCase, path: Path, by: str, record: str, wrong: str = "", meant: Question | None = None
) -> str:
    """Return the page of a case as it stands for one trainee.

    Parameters
    ----------
    case, path, by, record : the case, what was asked on it, by whom, the text of its record.
    wrong : why the last question was not answered; "" where it was.
    meant : that question, whose form stands open.
    """
    left = BUDGET - path.points
    body = [
        element("header", element("div", element("h1", f"{case.name}: {case.bench.pack.name}"),
                                  element("p", f"{by}: {_left(left)}", class_="now", id="left"),
                                  _nav(), class_="verdict"), class_="head"),
        element("main", _ask(case, left, wrong, meant), _readings(path.asked), _record(record),
                sections_of(case.bench.pack, [case.name]), class_="body", id="main", tabindex=-1),
    ]  # fmt: skip
    return whole_page(f"{case.name} of {case.bench.pack.name}", *body)


def whole_page(title: str, *parts: Child) -> str:
    """Return a page that takes its style from beside it."""
    head = element(
        "head",
        element("meta", charset="utf-8"),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("meta", name="color-scheme", content="light dark"),
        element("title", f"packcheck: {title}"),
        element("link", rel="stylesheet", href="/page.css"),
    )
    hatches = element("svg", element("defs", drawn(HATCHES)), width=0, height=0, aria_hidden="true", class_="hatches",
                      focusable="false")  # fmt: skip
    return f"<!DOCTYPE html>\n{element('html', head, element('body', hatches, *parts), lang='en')}\n"


def _left(left: int) -> str:
    return f"{left} of {plural(BUDGET, 'point')} left for questions"


def _nav() -> Markup:
    links = [element("li", element("a", words, href=f"#{name}")) for name, words in HEADINGS.items()]
    return element("nav", element("ul", links), aria_label="On this page")


def _ask(case: OpenCase, left: int, wrong: str, meant: Question | None) -> Markup:
    says = (
        "Each answer is what an instrument shows or what eyes see, and costs points of the case. "
        "What was asked before is told again for nothing."
    )
    more = f"{ABOVE_60_V.points} point more where {ABOVE_60_V.why}; {LIVE.points} more where {LIVE.why}."
    told = element("p", element("b", "Not answered: "), wrong, class_="refused", role="alert") if wrong else None
    forms = [_form(case, word, left, meant) for word in COSTS if KINDS[word].names(case.bench)]
    return element("section", element("h2", HEADINGS["ask"], id="ask"), told, element("p", says), forms,
                   element("p", more[0].upper() + more[1:], class_="quiet small"))  # fmt: skip


def _form(case: OpenCase, word: str, left: int, meant: Question | None) -> Markup:
    kind, cost = KINDS[word], COSTS[word]
    mine = meant if meant and meant.kind == word else None
    labels = ("first, the red lead", "second, the black lead") if kind.count == 2 else ("of what",)
    fields = list(_choices(case, word, labels, mine))
    enough = cost.points <= left
    button = element("button", f"Ask {word}", type="submit", disabled=not enough)
    short = None if enough else element("p", "Not enough points are left.", class_="quiet")
    summary = element("summary", element("b", word), f": {kind.says} ", element("span", _price(word),
                                                                             class_="price"))  # fmt: skip
    form = element("form", element("input", type="hidden", name="kind", value=word), fields, button, short,
                   method="post", action="/ask", class_="ask")  # fmt: skip
    why = element("p", f"Its price is for {cost.why}.", class_="quiet")
    inside = element("div", why, form, class_="in")
    return element("details", summary, inside, open=mine is not None, id=f"ask-{word}")


def _price(word: str) -> str:
    return f"{'from ' * (word in VOLTAGE_KINDS)}{plural(COSTS[word].points, 'point')}"


def _choices(case: OpenCase, word: str, labels: Sequence[str], mine: Question | None) -> Iterator[Markup]:
    names = tuple(KINDS[word].names(case.bench))
    for index, label in enumerate(labels):
        chosen = mine.names[index] if mine else names[min(index, len(names) - 1)]
        yield _select(f"{word}-{index}", "name", label, names, chosen)
    if KINDS[word].in_state:
        states = states_of(case.bench.pack)
        yield _select(f"{word}-state", "state", "in the state", states, mine.state if mine else states[0])


def _select(identity: str, name: str, label: str, names: Sequence[str], chosen: str) -> Markup:
    options = [element("option", one, value=one, selected=one == chosen) for one in names]
    return element("p", element("label", label, for_=identity), element("select", options, name=name, id=identity))


def _readings(asked: Sequence[Asked]) -> Markup:
    rows = [
        element("li", element("b", one.question), f": {one.reads} ",
                element("span", plural(one.points, "point"), class_="price"), id=f"q{one.number}")
        for one in asked
    ]  # fmt: skip
    told = element("ol", rows, class_="readings") if rows else element("p", "Nothing was asked yet.")
    return element("section", element("h2", HEADINGS["readings"], id="readings"), told)


def _record(record: str) -> Markup:
    whole = element("p", element("a", "By itself, to search in", href="/record"))
    text = element("pre", drawn_lines(record), tabindex=0, role="region", aria_label="The record of this build")
    fold = element("details", element("summary", f"Show its {record.count(chr(10))} lines"),
                   element("div", text, class_="in"))  # fmt: skip
    return element("section", element("h2", HEADINGS["record"], id="record"), whole, fold)


def drawn_lines(text: str) -> list[Child]:
    """Return the lines of a text, each with its end."""
    return [piece for line in text.splitlines() for piece in (line, Markup("\n"))]
