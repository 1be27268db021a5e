"""What there is a page about."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from importlib.resources import files
from typing import Any, Final

from seamwright.findings import SeamwrightError, did_you_mean
from seamwright.pipelines import shipped, text_of
from seamwright.plugins.pages import page_text
from seamwright.plugins.registry import Registry

from .python_names import PYTHON_ROOMS, room_help, room_text

GUIDES: Final[dict[str, str]] = {
    "plan": "The seam plan: which edges are sewn to which.",
    "places": "How edges and places are named.",
    "pipelines": "Steps in order, in a file of your own.",
    "house": "House rules: what a house or a customer asks of every pattern.",
    "units": "Lengths and angles as they may be written.",
    "keeps": "What steps promise not to move.",
    "findings": "Findings, their codes, exit status.",
    "glossary": "The trade's words as they are used here.",
    "limits": "Limits and cautions: read before you cut.",
    "changelog": "What changed from version to version.",
}
"""Guides of the core, in reading order, with the line that lists them."""


@dataclass(frozen=True, slots=True)
class Topic:
    """One page.

    kind  "guide", "format", "step", "report", "pipeline" or "python"
    text  gives the page as Markdown
    """

    name: str
    kind: str
    help: str
    text: Callable[[], str]


def topics(registry: Registry | None = None, *, units: str = "mm") -> list[Topic]:
    """Every topic, in the order of the list that `seamwright help` prints."""
    known = Registry.discover() if registry is None else registry
    return [*_guides(), *_things(known, units), *_pipelines(), *_python()]


def find(name: str, known: list[Topic]) -> list[Topic]:
    """The topics of that name (a format and a report may share one). Raises SeamwrightError."""
    found = [t for t in known if t.name == name]
    if not found:
        found = [t for t in known if t.name.rpartition("/")[2] == name]
    if not found:
        told = [f'"{t.name}"' for t in mentions(name, known)][:8]
        hint = f"it is spoken of in {', '.join(told)}" if told else did_you_mean(
            name, [t.name for t in known]
        )  # fmt: skip
        raise SeamwrightError.of("help.unknown", f'there is no page "{name}"', hint=hint)
    return found


def mentions(word: str, known: list[Topic]) -> list[Topic]:
    """The topics on whose pages a word stands."""
    wanted = word.casefold().strip()
    return [t for t in known if wanted and wanted in f"{t.name} {t.help} {t.text()}".casefold()]


def _guides() -> Iterator[Topic]:
    for name, line in GUIDES.items():
        yield Topic(name, "guide", line, lambda name=name: _guide(name))  # type: ignore[misc]


def _guide(name: str) -> str:
    text = files(__package__).joinpath("pages", f"{name}.md").read_text(encoding="utf-8")
    return text.replace("<!-- keeps -->", _keeps()) if name == "keeps" else text


def _keeps() -> str:
    from seamwright.pipeline.keeps import LIMITS, MEANING  # noqa: PLC0415 - one page only

    rows = ["| name | what it holds | may move by |", "|---|---|---|"]
    for name, limit in LIMITS.items():
        unit = {"area": " mm2", "cloth-area": " mm2"}.get(name, " mm" if limit else "")
        rows.append(f"| `{name}` | {MEANING[name]} | {limit:g}{unit} |")
    return "\n".join(rows)


def _things(registry: Registry, units: str) -> Iterator[Topic]:
    shelves: tuple[tuple[str, Any], ...] = (
        ("format", registry.formats),
        ("step", registry.steps),
        ("report", registry.reports),
    )
    for kind, shelf in shelves:
        for entry in shelf:

            def text(entry: Any = entry) -> str:
                page = page_text(entry, units=units)
                origin = f"From {entry.plugin.origin}; full name `{entry.full}`.\n"
                return (page or f"# {entry.thing.name}\n\n{entry.thing.help}\n") + "\n" + origin

            yield Topic(shelf.shortest(entry), kind, entry.thing.help, text)


def _pipelines() -> Iterator[Topic]:
    for name, line in shipped().items():

        def text(name: str = name, line: str = line) -> str:
            run = f"```sh\nseamwright run {name} FILE --out DIR\n```"
            return f"# {name}\n\n{line}\n\n{run}\n\n```toml\n{text_of(name).rstrip()}\n```\n"

        yield Topic(name, "pipeline", line, text)


def _python() -> Iterator[Topic]:
    for room in PYTHON_ROOMS:
        yield Topic(room, "python", room_help(room), lambda room=room: room_text(room))  # type: ignore[misc]
