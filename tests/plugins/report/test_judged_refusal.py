"""A step that refused is told in the verdict, with its reason and what else helps."""

from __future__ import annotations

from dataclasses import replace

from seamwright.findings import Finding, Severity
from seamwright.plugins.api import Record, StepRecord
from seamwright_report.facts import facts_of
from seamwright_report.folds import folds_of
from seamwright_report.say import Say
from seamwright_report.story import Story, story_of


def told(record: Record) -> Story:
    return story_of(facts_of(record), folds_of(record), ({}, {}), Say("mm"))


def refusing(count: int = 1) -> StepRecord:
    return StepRecord(
        use="cap_ease/ease-cap",
        kind="alteration",
        options={},
        findings=tuple(
            Finding(
                code="cap.under",
                severity=Severity.ERROR,
                message=f"size {i}: the cap holds less ease than the target",
                hint="raise the cap",
            )
            for i in range(count)
        ),
    )


def test_a_refusal_is_told_with_its_reason(checked_run: Record) -> None:
    story = told(replace(checked_run, steps=(*checked_run.steps, refusing())))
    done = dict(story.answers)["What was done"]
    assert "ease-cap could not do what was asked" in done
    assert "looked at only" not in done
    assert "Size 0: the cap holds less ease than the target. Raise the cap." in story.left


def test_many_refusals_are_counted(checked_run: Record) -> None:
    story = told(replace(checked_run, steps=(refusing(9),)))
    assert len([s for s in story.left if "less ease" in s]) == 3
    assert any(s.startswith("6 more refusals") for s in story.left)


def test_a_check_refuses_nothing(checked_run: Record) -> None:
    assert "looked at only" in dict(told(checked_run).answers)["What was done"]
