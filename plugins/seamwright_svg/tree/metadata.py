"""The plan, the grade rules and the notes that travel in a drawing's metadata element."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from seamwright.plugins.api import SeamwrightError

from ..notes import Notes
from .parse import Node, Tree

if TYPE_CHECKING:
    from seamwright.model import GradeRules, Pattern


def ours(tree: Tree, name: str) -> Iterator[Node]:
    """Our own elements of that name within metadata."""
    for child in tree.root.children:
        if child.tag == "metadata":
            for node in child.children:
                if node.tag == f"seamwright:{name}":
                    yield node


def notes_in(tree: Tree) -> tuple[tuple[str, str], ...]:
    """Style data: author, date and the like."""
    return tuple((n.attrs.get("name", ""), n.content()) for n in ours(tree, "note"))


def grade_rules_in(tree: Tree, notes: Notes) -> GradeRules | None:
    """The grade rule table, None where there is none or it is damaged."""
    from seamwright.model import GradeRules  # noqa: PLC0415 - rare

    for node in ours(tree, "grade-rules"):
        sizes = tuple(c.attrs.get("name", "") for c in node.children if c.tag == "seamwright:size")
        offsets: dict[int, list[list[float]]] = {}
        try:
            for child in node.children:
                if child.tag == "seamwright:rule":
                    pairs = [p.split(",") for p in child.content().split()]
                    offsets[int(child.attrs["number"])] = [[float(x), float(y)] for x, y in pairs]
            return GradeRules(
                name=node.attrs.get("name", ""),
                author=node.attrs.get("author", ""),
                date=node.attrs.get("date", ""),
                sizes=sizes,
                base_size=node.attrs.get("base-size", ""),
                offsets=offsets,  # type: ignore[arg-type]
            )
        except (ValueError, KeyError) as error:
            notes.error(
                "svg.metadata", f"the grade rules in the drawing are damaged: {error}", node
            )
    return None


def with_plan(pattern: Pattern, tree: Tree, notes: Notes) -> Pattern:
    """The pattern with the plan that the drawing carries, if any."""
    for node in ours(tree, "plan"):
        from seamwright.plan import apply_plan, load_plan  # noqa: PLC0415 - rare

        try:
            plan = load_plan(node.content().strip() + "\n", f"{notes.file}, plan inside")
            pattern, findings = apply_plan(pattern, plan)
        except SeamwrightError as error:
            notes.findings += [error.finding, *error.others]
            continue
        notes.findings += findings
    return pattern
