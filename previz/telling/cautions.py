"""The usual words of caution as commands and sheets print them."""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING

from previz.measure.rules.cautions import SENTENCES, cautions_for

if TYPE_CHECKING:
    from previz.stage.stage import Stage

CLOSING = "Local code and licensed practice decide."


def printed(rules: Collection[str]) -> tuple[str, ...]:
    """Cautions as sentences to print; the last says who decides."""
    said = [SENTENCES[rule] for rule in SENTENCES if rule in rules]
    return (*(f"{text[0].upper()}{text[1:]}." for text in said), CLOSING)


def ordered(sentences: Collection[str]) -> tuple[str, ...]:
    """Printed cautions of several sets together, in their usual order, each once."""
    return tuple(sentence for sentence in printed(SENTENCES) if sentence in sentences)


def printed_for(stage: Stage) -> tuple[str, ...]:
    """The same for a set."""
    return printed([caution.rule for caution in cautions_for(stage)])
