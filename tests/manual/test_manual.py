"""The manual: a page for everything, examples that run, pictures of what each step does."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from seamwright.cli.main import COMMANDS, group
from seamwright.findings import SeamwrightError
from seamwright.house import load_house
from seamwright.manual import Topic, find, mentions, topics, write_manual
from seamwright.manual.examples import examples_of, show
from seamwright.manual.topics import GUIDES
from seamwright.pipeline import Pipeline
from seamwright.pipeline.keeps import LIMITS, MEANING
from seamwright.plan import load_plan
from seamwright.plugins.registry import Registry

KNOWN = topics()
STEPS = [t for t in KNOWN if t.kind == "step"]

# grade needs rules, which none of the pieces drawn for pictures has.
WITHOUT_PICTURE = {"grade", "derive-rules"}
# Needs a pattern of a user's own: what it does on the pieces of the manual is nothing.
ALTERATIONS = sorted(
    e.thing.name
    for e in Registry.discover().steps
    if e.thing.kind == "alteration" and e.plugin.bundled and e.thing.name not in WITHOUT_PICTURE
)


def one(name: str) -> Topic:
    return find(name, KNOWN)[0]


@pytest.mark.parametrize("topic", KNOWN, ids=[f"{t.kind}-{t.name}" for t in KNOWN])
def test_every_topic_has_a_page_and_a_line(topic: Topic) -> None:
    text = topic.text()
    assert text.startswith("# ") and len(text) > 80 and topic.help.strip()
    assert "<!--" not in text


def test_everything_that_is_installed_has_a_topic() -> None:
    registry = Registry.discover()
    shelves: tuple[Any, ...] = (registry.formats, registry.steps, registry.reports)
    names = {t.name for t in KNOWN}
    assert {shelf.shortest(e) for shelf in shelves for e in shelf} <= names
    assert set(GUIDES) <= names


@pytest.mark.parametrize("name", ALTERATIONS)
def test_the_example_of_an_alteration_shows_what_it_does(name: str) -> None:
    shown = [show(example) for example in examples_of(one(name).text())[:1]]
    assert shown and shown[0] is not None, "the example suits none of the manual's patterns"
    assert 'class="seam was"' in shown[0].svg or 'class="seam now"' in shown[0].svg


def test_what_a_guide_shows_can_be_loaded() -> None:
    for name in GUIDES:
        for block in re.findall(r"```toml\n(.*?)```", one(name).text(), flags=re.DOTALL):
            if "[[step]]" in block:
                Pipeline.loads(block).prepare()
            elif "seamwright-house" in block:
                assert load_house(block, name).ease
            else:
                assert load_plan(block.encode(), name).seams
                assert tomllib.loads(block)


def test_every_promise_has_a_meaning() -> None:
    assert list(MEANING) == list(LIMITS)
    assert all(f"`{name}`" in one("keeps").text() for name in LIMITS)


def test_codes_in_the_guide_are_codes_of_the_core() -> None:
    import seamwright

    home = Path(seamwright.__file__).parent
    source = "".join(p.read_text(encoding="utf-8") for p in home.rglob("*.py"))
    codes = re.findall(r"`([a-z]+\.[a-z-]+)`", one("findings").text())
    assert codes and [c for c in codes if f'"{c}"' not in source] == []


def test_a_word_is_looked_up_in_all_pages() -> None:
    assert "dart-to-gathers" in {t.name for t in mentions("gathers", KNOWN)}
    # A word that stands on the page only, neither in a name nor in a line of the list.
    assert "glossary" in {t.name for t in mentions("Warp Threads", KNOWN)}
    with pytest.raises(SeamwrightError) as error:
        find("gathers", KNOWN)
    assert "dart-to-gathers" in str(error.value.finding.hint)


def test_the_manual_needs_nothing_from_elsewhere(tmp_path: Path) -> None:
    hostile = Topic("<script>alert(1)</script>", "step", "<b>", lambda: "# <script>x</script>\n")
    made = write_manual(tmp_path / "manual", [one("plan"), one("move-dart"), hostile])
    assert all(p.parent == tmp_path / "manual" for p in made) and len(made) == 4
    for path in made:
        text = path.read_text(encoding="utf-8")
        assert "<script" not in text and "default-src 'none'" in text
        assert re.findall(r'(?:src|href)="(?!step-|guide-|index)[^"]*"', text) == []
    assert "<svg" in (tmp_path / "manual" / "step-move-dart.html").read_text(encoding="utf-8")
    with pytest.raises(SeamwrightError):
        write_manual(tmp_path / "manual", [])


def test_help_at_the_prompt() -> None:
    listed = CliRunner().invoke(group, ["help"])
    assert listed.exit_code == 0 and "glossary" in listed.stdout and "ease-cap" in listed.stdout
    page = CliRunner().invoke(group, ["help", "ease-cap"])
    assert page.exit_code == 0 and "## What it does" in page.stdout
    for command in COMMANDS:
        if command not in {t.name for t in KNOWN}:
            told = CliRunner().invoke(group, ["help", command])
            assert told.exit_code == 0 and (command == "help" or "Usage:" in told.stdout)
    as_json = CliRunner().invoke(group, ["help", "json", "--json"])
    assert as_json.stdout.count('"kind"') == 2
