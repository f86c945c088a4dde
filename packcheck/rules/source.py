"""The text of a rule's condition: turned into Python's tree, never run, with the place of every part.

What is too long, too deep or hidden behind a ``#`` is refused here, before any part is looked at.
"""

from __future__ import annotations

import ast
import warnings
from dataclasses import dataclass

LONGEST = 1000
DEEPEST = 25
ALLOWED = "column names, limits, numbers, texts, True and False, comparisons, in, and, or, not, + - * /, abs, min, max"
"""What may stand in a condition, in words."""


@dataclass(frozen=True, order=True)
class ExpressionProblem:
    """One mistake in an expression; ``offset`` counts characters of the text from 0."""

    offset: int
    found: str
    needed: str
    why: str = ""
    do: str = ""


class BadExpression(Exception):
    """An expression that cannot be used, with all that is wrong in it."""

    def __init__(self, problems: list[ExpressionProblem]) -> None:
        self.problems = tuple(sorted(problems))
        super().__init__("; ".join(problem.found for problem in problems))


class Source:
    """One condition as written; lines are joined, so that a place is one number."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.indent = len(text) - len(text.lstrip())
        self.line = text.strip().replace("\r", " ").replace("\n", " ").replace("\t", " ")

    def read_tree(self, problems: list[ExpressionProblem]) -> ast.expr | None:
        """Return Python's tree of the text, or None after adding to ``problems`` why there is none."""
        if not self.line:
            problems.append(self._problem("nothing", "a condition"))
        elif len(self.line) > LONGEST:
            problems.append(self._problem(f"{len(self.line)} characters", f"at most {LONGEST}", do="Split the rule."))
        else:
            found = self._parse()
            if isinstance(found, ast.expr):
                found = self._hidden_text(found) or self._too_deep(found) or found
            if isinstance(found, ast.expr):
                return found
            problems.append(found)
        return None

    def at(self, node: ast.expr, end: bool = False) -> int:
        """Return where a part begins (or ends) in the text, in characters from 0."""
        in_bytes = (node.end_col_offset or 0) if end else node.col_offset
        if self.line.isascii():
            return self.indent + in_bytes
        return self.indent + len(self.line.encode()[:in_bytes].decode(errors="ignore"))

    def written(self, node: ast.expr) -> str:
        """Return a part as it is written."""
        return self.text[self.at(node) : self.at(node, end=True)]

    def _parse(self) -> ast.expr | ExpressionProblem:
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                return ast.parse(self.line, mode="eval").body
        except SyntaxError as error:
            offset = min(error.offset - 1, len(self.line)) if error.offset else len(self.line)
            return self._problem(f"a text that is no expression ({error.msg})", ALLOWED, offset=offset)
        except (ValueError, MemoryError, RecursionError):
            return self._problem("a text that is no expression, or one with too many brackets", ALLOWED)

    def _hidden_text(self, tree: ast.expr) -> ExpressionProblem | None:
        if "\\" not in self.line and "#" not in self.line:
            return None
        words = [node for node in ast.walk(tree) if isinstance(node, ast.Constant) and isinstance(node.value, str)]
        spans = [(self.at(word) - self.indent, self.at(word, end=True) - self.indent) for word in words]
        for offset, letter in enumerate(self.line):
            if letter == "\\" or (letter == "#" and not any(start <= offset < end for start, end in spans)):
                why = "what follows a # would not be judged" if letter == "#" else ""
                return self._problem(f"the letter {letter}", ALLOWED, why, offset=offset)
        return None

    def _too_deep(self, tree: ast.expr) -> ExpressionProblem | None:
        level: list[ast.AST] = [tree]
        for _ in range(DEEPEST):
            level = [child for node in level for child in ast.iter_child_nodes(node)]
            if not level:
                return None
        return self._problem("parts nested too deep", f"at most {DEEPEST} levels", do="Split the rule.")

    def _problem(self, found: str, needed: str, why: str = "", do: str = "", offset: int = 0) -> ExpressionProblem:
        return ExpressionProblem(self.indent + offset, found, needed, why, do)
