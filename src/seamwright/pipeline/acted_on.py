"""The pieces on which a step is to act, as its options name them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from seamwright.model import Pattern
from seamwright.plan.grammar import piece_named
from seamwright.plan.names import look_up
from seamwright.plugins.descriptors import Step


def acted_on(step: Step[Any], options: Any, pattern: Pattern) -> frozenset[str] | None:
    """Names of the pieces that the options listed in `Step.acts_on` name; None where the step
    lists none or they name no piece (an option left empty: every piece).

    A text that names no piece of the pattern is left to the step, which refuses it.
    """
    names = [p.name for p in pattern.pieces]
    found = set()
    for option in step.acts_on:
        for text in _texts(getattr(options, option)):
            piece = look_up(text, names)[0] or look_up(piece_named(text) or "", names)[0]
            if piece is not None:
                found.add(piece)
    return frozenset(found) or None


def _texts(value: Any) -> Iterator[str]:
    """The texts that an option holds: itself, its items or its keys."""
    if isinstance(value, str):
        if value:
            yield value
    elif isinstance(value, Mapping | list | tuple | set | frozenset):
        for one in value:
            yield from _texts(one)
