"""What a shell offers for the value of an option or argument when somebody asks it to complete the line."""

from __future__ import annotations

from collections.abc import Callable

Completer = Callable[[str], list[str]]


def from_words(*words: str) -> Completer:
    """Return what offers those of the words that begin as typed."""

    def offered(incomplete: str) -> list[str]:
        return [word for word in words if word.startswith(incomplete)]

    return offered


def gates(incomplete: str) -> list[str]:
    """Offer the gates, hyphens for blanks: a shell takes a blank for the end of the word."""
    from packcheck.rules.findings import GATES

    return from_words(*(gate.value.replace(" ", "-") for gate in GATES))(incomplete.lower().replace(" ", "-"))


def rule_names(incomplete: str) -> list[str]:
    """Offer the names of the rules that come with packcheck, which their files have."""
    from packcheck.files.shipped import shipped_folder

    return from_words(*sorted(file.stem for file in shipped_folder("rules").rglob("*.yaml")))(incomplete)


def fault_names(incomplete: str) -> list[str]:
    """Offer the names of the faults of the library."""
    from packcheck.simulate.faults.library import BY_NAME

    return from_words(*sorted(BY_NAME))(incomplete)
