"""The record as JSON and as plain text."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from seamwright.plan import walk
from seamwright.plugins.api import Context, Record
from seamwright.plugins.registry import Registry


def written(record: Record, name: str, **options: object) -> str:
    """What the report of that name writes."""
    report = Registry.discover(only=["report"]).reports.find(name).thing
    (part,) = report.run(record, report.options(**options), Context(units="in")).parts
    return str(part.data.decode("utf-8"))


def refused(value: str) -> Any:
    raise AssertionError(f"{value} is not JSON")


def test_every_seam_in_every_size(eased_run: Record) -> None:
    document = json.loads(written(eased_run, "json"), parse_constant=refused)
    old, new = walk(eased_run.before), walk(eased_run.after)
    assert len(document["seams"]) == 15
    for row in document["seams"]:
        s, z = new.number(row["name"]), new.sizes.index(row["size"])
        assert row["before"]["ease"] == pytest.approx(old.ease[s, z], abs=1e-12)
        assert row["after"]["sew_length"] == new.sew_lengths[s, z]
    cap = document["seams"][:3]
    assert [row["before"]["verdict"] for row in cap] == ["over"] * 3
    assert [row["after"]["verdict"] for row in cap] == ["ok"] * 3
    assert sum(x["ease_after"] for x in cap[0]["stretches"]) == pytest.approx(
        cap[0]["after"]["ease"]
    )


def test_steps_with_options_figures_and_findings(eased_run: Record) -> None:
    document = json.loads(written(eased_run, "json"))
    check, ease = document["steps"]
    assert [f["code"] for f in check["findings"]] == ["seam.over"] * 3
    assert ease["options"]["from-shoulder"] == "57.15 mm"
    assert ease["changed"][0] == {"piece": "Sleeve", "size": "B", "moved": 9.5}
    assert ease["figures"]["sleeves"]["Sleeve"]["sizes"]["C"]["tucks"][0]["width"] == 4.5
    assert document["pieces"] == [
        {"name": "Back", "changed": []},
        {"name": "Front", "changed": []},
        {"name": "Sleeve", "changed": ["B", "C", "D"]},
    ]


def test_figures_of_any_kind_become_json(checked_run: Record) -> None:
    figures = {
        "nan": float("nan"),
        "array": np.arange(3.0),
        "count": np.int64(4),
        "pair": (1, 2),
        "names": {"b", "a"},
        "none": None,
        "yes": True,
    }
    step = replace(checked_run.steps[0], figures=figures)
    document = json.loads(written(replace(checked_run, steps=(step,)), "json"))
    assert document["steps"][0]["figures"] == {
        "nan": None,
        "array": [0.0, 1.0, 2.0],
        "count": 4,
        "pair": [1, 2],
        "names": ["a", "b"],
        "none": None,
        "yes": True,
    }


@pytest.mark.parametrize("name", ["json", "text"])
@pytest.mark.parametrize("text", ["</script>", "袖", "\ud800\x1b[2J", '"\\\n'])
def test_any_name_can_be_written(named_run: Callable[[str], Record], name: str, text: str) -> None:
    found = written(named_run(text), name)
    if name == "json":
        assert json.loads(found)["pattern"] == text
    else:
        assert "\x1b" not in found


def test_one_line_on_request(checked_run: Record) -> None:
    assert written(checked_run, "json", indent=0).count("\n") == 1


def test_text_says_it_in_a_narrow_column(eased_run: Record) -> None:
    lines = written(eased_run, "text", width=72).splitlines()
    text = " ".join(line.strip() for line in lines)
    assert "The sleeve cap held more ease than the cloth takes." in text
    assert any(line.split()[:2] == ["C", "back"] and "3/16 in" in line for line in lines)
    assert "sleeve to armhole, back" in text
    assert "error: size B holds too much [seam.over]" in text
    prose = [line for line in lines if "sleeve to armhole" not in line]
    assert max(map(len, prose)) <= 72


def test_the_declarations_load_nothing_heavy() -> None:
    program = (
        "import sys, seamwright_report.plugin as p\n"
        "p.seamwright_reports()\n"
        "print([m for m in ('numpy', 'shapely', 'scipy', 'rich') if m in sys.modules])"
    )
    out = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert out.stdout.strip() == "[]"
