"""The few functions that a script needs."""

from __future__ import annotations

import warnings
from pathlib import Path
from typing import Any

import pytest

import seamwright as sw
from seamwright.plugins.api import EXACT, Feature, Finding, ReadResult, Severity


@pytest.fixture
def home(toys: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    from seamwright.plugins import registry as registries

    made = toys.full_registry()
    monkeypatch.setattr(registries, "default", lambda: made)
    toys.save(tmp_path / "blouse.toy", toys.pattern())
    (tmp_path / "hem.toml").write_text(
        '[[seam]]\nname = "hem"\nsew = "Front: b > c"\nto = "Back: b > c"\n'
    )
    (tmp_path / "fit.toml").write_text(
        'seamwright = 1\n[[step]]\nuse = "fit"\n[[step]]\nuse = "walk"\n'
    )
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_the_example_of_the_first_page(home: Path) -> None:
    blouse = sw.read("blouse.toy", plan="hem.toml")
    report = sw.check(blouse)
    assert [(s["name"], s["verdict"]) for s in report.seams] == [("hem", "under")] * 2
    assert not report.ok
    assert "hem, size S: " in str(report)
    fitted, record = sw.Pipeline.load("fit.toml").run(blouse)
    assert sw.check(fitted).ok
    assert len(record.steps) == 2
    said = sw.write(fitted, "fitted.toy", label="x")
    assert [f.code for f in said] == ["readback.deviation"]
    assert sw.read("fitted.toy").piece("Back").shapes[0].seam_line.n == 4


def test_units_count_for_bare_numbers_and_messages(home: Path) -> None:
    found = sw.load("blouse.toy", units="in", join="1/4 in")
    assert found.options.join == 6.35
    assert sw.load("blouse.toy", units="in", join=0.25).options.join == 6.35
    assert sw.load("blouse.toy", join=0.25).options.join == 0.25
    assert " in" in str(sw.check(found.pattern, units="in"))


def test_nothing_to_look_at_is_no_clean_bill(home: Path, toys: Any) -> None:
    report = sw.check(toys.pattern(plain=True))
    assert not report.ok
    assert str(report) == "Nothing was checked: there is no seam plan."


def test_warnings_of_a_reader_reach_the_script(
    home: Path, toys: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    from seamwright.plugins import registry as registries

    def guesses(source: Any, options: Any, ctx: Any) -> ReadResult:
        seen = Finding(
            code="toy.read", severity=Severity.WARNING, message="No scale.", hint="Say one."
        )
        return ReadResult(pattern=toys.pattern(), findings=(seen,))

    made = toys.full_registry(read=guesses)
    monkeypatch.setattr(registries, "default", lambda: made)
    with pytest.warns(
        sw.SeamwrightWarning, match=r"No scale\. \(Say one\.\) \[toy\.read\]"
    ) as told:
        sw.read("blouse.toy")
    message = told[0].message
    assert isinstance(message, sw.SeamwrightWarning)
    assert message.finding.file == "blouse.toy"
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert [f.code for f in sw.load("blouse.toy").findings] == ["toy.read"]


@pytest.mark.parametrize(
    ("work", "code"),
    [
        (lambda: sw.read("blouze.toy"), "file.missing"),
        (lambda: sw.read("blouse.toy", joyn=3), "option.unknown"),
        (lambda: sw.read("blouse.toy", plan="no.toml"), "file.missing"),
        (lambda: sw.write(sw.read("blouse.toy"), "blouse.toy"), "file.exists"),
        (lambda: sw.write(sw.read("blouse.toy"), "x.toy", lable="x"), "option.unknown"),
        (
            lambda: sw.write(sw.read("blouse.toy"), "x.toy", accept_loss=["txt"]),
            "loss.unknown-feature",
        ),
        (lambda: sw.check(sw.read("blouse.toy"), tolerance=3), "option.unknown"),
        (lambda: sw.Pipeline([]).prepare(), "pipeline.value"),
    ],
)
def test_errors_carry_one_finding(home: Path, work: Any, code: str) -> None:
    with pytest.raises(sw.SeamwrightError) as caught:
        work()
    assert caught.value.finding.code == code
    assert caught.value.finding.hint


def test_strict_and_accepted_loss(home: Path, toys: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    from seamwright.plugins import registry as registries

    carries = {f: EXACT for f in Feature if f is not Feature.SEAMS}
    made = toys.full_registry(carries=carries, writes=lambda p: p.but(seams=()))
    monkeypatch.setattr(registries, "default", lambda: made)
    blouse = sw.read("blouse.toy")
    with pytest.raises(sw.SeamwrightError, match="does not carry all"):
        sw.write(blouse, "x.toy", strict=True)
    said = sw.write(blouse, "x.toy", strict=True, accept_loss={"seam plan": "kept beside"})
    assert said[0].severity is sw.Severity.NOTE
    sw.write(blouse, "x.toy", overwrite=True, read_back=False)
