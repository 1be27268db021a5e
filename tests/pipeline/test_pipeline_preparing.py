"""A pipeline is resolved as a whole before any input is opened, or refused."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from seamwright.findings import SeamwrightError
from seamwright.pipeline import Pipeline, Use
from seamwright.plugins.api import Length


@pytest.fixture
def registry(toys: Any) -> Any:
    return toys.registry(toys.toy_format(), toys.nudge(), toys.toy_step("look"), toys.toy_report())


def faults(pipeline: Pipeline, **how: Any) -> list[Any]:
    with pytest.raises(SeamwrightError) as caught:
        pipeline.prepare(**how)
    return [caught.value.finding, *caught.value.others]


def test_what_can_run_whole_is_prepared(registry: Any) -> None:
    prepared = Pipeline(
        [
            Use("look"),
            Use("toys/nudge", by="1 cm"),
            Use("write", to="{stem}-{size}.toy", label="x"),
            Use("report", to="{stem}.words"),
        ]
    ).prepare(registry=registry)  # fmt: skip
    assert [s.name for s in prepared.steps] == ["toys/look", "toys/nudge", "write", "report"]
    assert prepared.steps[1].options.by == 10.0
    assert prepared.steps[2].options.label == "x"
    assert prepared.steps[2].parts == {"stem", "size"}


@pytest.mark.parametrize(
    ("use", "code", "hint"),
    [
        (Use("nugde"), "name.unknown", '"nudge"'),
        (Use("wirte", to="x.toy"), "name.unknown", '"write"'),
        (Use("nudge", bye=3), "option.unknown", '"by"'),
        (Use("nudge", by="3 m"), "option.value", ""),
        (Use("nudge", by="300 mm"), "option.bounds", "100 mm"),
        (Use("write"), "option.missing", ""),
        (Use("write", to="x.tyo"), "format.no-suffix", '".toy"'),
        (Use("write", to="x"), "format.no-suffix", "suffix"),
        (Use("write", to="x.dat", format="tyo"), "name.unknown", '"toy"'),
        (Use("write", to="x.toy", lable="y"), "option.unknown", '"label"'),
        (Use("write", to="x.toy", overwirte=True), "option.unknown", '"overwrite"'),
        (Use("write", to="x.toy", tolerance="0 mm"), "option.bounds", "at least"),
        (Use("write", to="{steam}.toy"), "output.template", "{stem}"),
        (Use("write", to="{stem:>9}.toy"), "output.template", "stem"),
        (Use("write", to="{stem.toy"), "output.template", "braces"),
        (Use("write", to="../{stem}.toy"), "output.outside", "--out"),
        (Use("write", to="/etc/{stem}.toy"), "output.outside", "--out"),
        (Use("write", to="C:\\x.toy"), "output.outside", "--out"),
        (Use("write", to="x.toy", accept_loss={"txet": "no"}), "loss.unknown-feature", '"text"'),
        (Use("report", to="x.toy"), "format.no-suffix", ".words"),
        (Use("report", to="{size}.words"), "output.template", "{stem}"),
        (Use("report", to="x.words", pieces=["Front"]), "pipeline.value", "on the steps"),
    ],
)
def test_what_cannot_run_is_refused(registry: Any, use: Use, code: str, hint: str) -> None:
    found = faults(Pipeline([Use("look"), use]), registry=registry)
    assert [f.code for f in found] == [code]
    assert found[0].message.startswith(f"step 2 ({use.name}): ")
    assert hint in (found[0].hint or "")


def test_options_may_be_given_as_an_instance_which_is_checked_too(registry: Any, toys: Any) -> None:
    good = Pipeline([Use("nudge", toys.Nudge(by=Length(3.0)))]).prepare(registry=registry)
    assert good.steps[0].options == toys.Nudge(by=Length(3.0))
    bad = Pipeline([Use("nudge", toys.Nudge(by=Length(300.0)))])
    assert [f.code for f in faults(bad, registry=registry)] == ["option.bounds"]


def test_faults_of_all_steps_come_together(registry: Any) -> None:
    text = """seamwright = 1
[[step]]
use = "nugde"
[[step]]
use = "nudge"
by = "12 mn"
turn = 3
[[step]]
use = "write"
to = "{stem}.toy"
"""
    found = faults(Pipeline.loads(text, name="p.toml"), registry=registry)
    assert [(f.code, f.line, f.file) for f in found] == [
        ("name.unknown", 3, "p.toml"),
        ("option.unknown", 7, "p.toml"),
        ("option.value", 6, "p.toml"),
    ]


def test_outputs_must_be_told_apart(registry: Any) -> None:
    twice = Pipeline([Use("write", to="{stem}.toy"), Use("write", to="{STEM}.TOY".lower())])
    assert [f.code for f in faults(twice, registry=registry)] == ["output.twice"]
    fixed = Pipeline([Use("write", to="fixed.toy")])
    fixed.prepare(registry=registry)
    assert [f.code for f in faults(fixed, registry=registry, several=True)] == ["output.twice"]


def test_a_named_plan_is_looked_for_before_anything_runs(registry: Any, tmp_path: Path) -> None:
    text = 'seamwright = 1\nplan = "no.plan.toml"\n[[step]]\nuse = "look"\n'
    path = tmp_path / "p.toml"
    path.write_text(text)
    assert [f.code for f in faults(Pipeline.load(path), registry=registry)] == ["file.missing"]
    (tmp_path / "no.plan.toml").write_text("seamwright = 1\n")
    assert Pipeline.load(path).prepare(registry=registry).plan_name == str(
        tmp_path / "no.plan.toml"
    )


def test_a_promise_that_nobody_can_verify_is_refused(toys: Any) -> None:
    registry = toys.registry(toys.nudge(keeps=("bicep-widht",)))
    found = faults(Pipeline([Use("nudge")]), registry=registry)
    assert found[0].code == "plugin.unknown-invariant"
    assert '"bicep-width"' in found[0].message


def test_a_step_that_did_not_load_says_so(toys: Any) -> None:
    from seamwright.plugins.registry import Registry

    class Old:
        API = 7

    registry = Registry(of=[("toys", toys.plugin(toys.nudge())), ("truing", Old())])
    found = faults(Pipeline([Use("truing/jog")]), registry=registry)
    assert "truing (refused: it was made for API 7" in (found[0].hint or "")
