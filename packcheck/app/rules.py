"""The commands ``packcheck rules list``, ``rules show`` and ``rules test``."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from packcheck.app.arguments import deliver, one_of, rules_and_profile
from packcheck.app.exits import BROKEN, FINE, printable, say, width_of
from packcheck.app.options import RulesFolder, rule_names
from packcheck.files.problems import WrongUsage

rules_app = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help="List the rules, show one, test a folder.")


@rules_app.command("list")
def list_rules(rules: RulesFolder = None) -> int:
    """List every rule.

    \b
    Example:
      packcheck rules list
    """
    from packcheck.render.rules import render_rule_list

    deliver(render_rule_list(rules_and_profile(rules, None)[0], width=width_of(sys.stdout)), None)
    return FINE


@rules_app.command("show", short_help="Print one rule in full.")
def show_rule(
    name: Annotated[str, typer.Argument(metavar="NAME", autocompletion=rule_names, help="Name of a rule.")],
    rules: RulesFolder = None,
) -> int:
    """Print one rule in full: condition, limits, why, remedy, teaching, basis.

    \b
    Example:
      packcheck rules show module-reversed
    """
    from packcheck.render.rules import render_rule

    by_name = {rule.name: rule for rule in rules_and_profile(rules, None, with_examples=True)[0]}
    rule = by_name[one_of("rule", name, tuple(by_name))]
    deliver(render_rule(rule, width=width_of(sys.stdout)), None)
    return FINE


@rules_app.command("test", short_help="Run the examples that rules carry.")
def run_examples(
    folder: Annotated[Path | None, typer.Argument(metavar="[FOLDER]", help="Rules of your own.")] = None,
) -> int:
    """Run the examples that rules carry: those of a folder, or those that come with packcheck.

    \b
    Example:
      packcheck rules test rules
    """
    from packcheck.facts.tables import table_by_name
    from packcheck.rules.library import check_examples, rules_of

    everything, _ = rules_and_profile([folder] if folder else None, None, tested=False, with_examples=True)
    tested = rules_of(folder, everything) if folder else list(everything)
    wrong = [
        f"{rule.file}: {text}"
        for rule in tested
        for text in check_examples(rule, everything, table_by_name()[rule.each])
    ]
    examples = sum(len(rule.examples) for rule in tested)
    say("".join(f"{printable(text)}\n" for text in wrong))
    say(f"{examples} examples of {len(tested)} rules: {len(wrong)} wrong\n")
    if not examples:
        raise WrongUsage(f"no rule with an example in {folder or 'the rules that come with packcheck'}")
    return BROKEN if wrong else FINE
