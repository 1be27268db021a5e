"""Damaged files for every reader: a few by chance at every run, and each that once broke one.

`campaign.py` is the long form, `guided.py` the one that looks for new ways through the code.
"""

from __future__ import annotations

import random
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from fuzz_judge import FAULTS, Guard, faults_in, judged
from fuzz_mutators import LONGEST, mutated
from fuzz_targets import TARGETS
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from seamwright.findings import Finding, SeamwrightError, Severity

CASES = [(name, path) for name, target in TARGETS.items() for path in target.cases()]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("fuzz")


@pytest.mark.parametrize("name", TARGETS)
def test_seeds_are_read(name: str, folder: Path) -> None:
    """Most seeds are good files: what is mutated must have a way to go."""
    target = TARGETS[name]
    found = [judged(lambda d: target.run(d, folder), data) for data in target.seeds()]
    assert not [v for v in found if v.fault]
    assert any(v.outcome == "read" for v in found)


@pytest.mark.parametrize("name", TARGETS)
def test_a_damaged_file_is_read_or_refused(name: str, folder: Path) -> None:
    target = TARGETS[name]
    seeds = target.seeds()

    @settings(
        max_examples=25,
        deadline=None,
        database=None,
        derandomize=True,
        suppress_health_check=list(HealthCheck),
    )
    @given(chance=st.randoms(use_true_random=False))
    def holds(chance: random.Random) -> None:
        data = mutated(chance, seeds, target.words)
        verdict = judged(lambda d: target.run(d, folder), data)
        assert not verdict.fault, f"{verdict.code}: {verdict.detail}"

    holds()


@pytest.mark.parametrize(("name", "path"), CASES, ids=[f"{n}-{p.stem}" for n, p in CASES])
def test_what_broke_a_reader_once(name: str, path: Path, folder: Path) -> None:
    target = TARGETS[name]
    began = time.process_time()
    verdict = judged(lambda d: target.run(d, folder), path.read_bytes())
    assert not verdict.fault, f"{verdict.code}: {verdict.detail}"
    assert time.process_time() - began < 10.0  # 5 s is the goal; imports are in it here


class TestTheHarness:
    """What is to find faults finds them."""

    @pytest.mark.parametrize("error", [KeyError("x"), RecursionError(), ValueError("nan")])
    def test_another_exception_is_a_fault(self, error: Exception) -> None:
        def work(_: bytes) -> None:
            raise error

        assert judged(work, b"").code == "traceback"

    @pytest.mark.parametrize("code", sorted(FAULTS))
    def test_so_is_one_that_the_core_has_wrapped(self, code: str) -> None:
        def work(_: bytes) -> None:
            try:
                raise ZeroDivisionError("hidden")
            except ZeroDivisionError as error:
                raise SeamwrightError.of(code, "failed") from error

        verdict = judged(work, b"")
        assert verdict.fault and "ZeroDivisionError: hidden" in verdict.detail

    def test_a_clear_refusal_is_none(self) -> None:
        def work(_: bytes) -> None:
            raise SeamwrightError.of("svg.not-xml", "it is not", hint="save it again")

        assert judged(work, b"").outcome == "refused"

    def test_numbers_that_are_none_are_found_wherever_they_are(self) -> None:
        import numpy as np

        note = Finding(code="a.b", severity=Severity.NOTE, message="m", measured=float("nan"))
        assert list(faults_in([{"deep": (np.array([[1.0, np.inf]]),)}]))
        assert list(faults_in(1e300)) and not list(faults_in([1.0, "nan", np.zeros(0)]))
        assert not list(faults_in(note.but(measured=1.0)))

    def test_the_same_chance_makes_the_same_file_and_never_a_long_one(self) -> None:
        for name, target in TARGETS.items():
            for number in range(40):
                one, other = (
                    mutated(random.Random(number), target.seeds(), target.words) for _ in "ab"
                )
                assert one == other and len(one) <= LONGEST, name


@pytest.fixture
def guard(tmp_path: Path) -> Iterator[Guard]:
    made = Guard(tmp_path)
    made.on = True
    yield made
    made.on = False


def test_the_guard_lets_the_folder_and_nothing_else(guard: Guard, tmp_path: Path) -> None:
    from fuzz_judge import Touched

    inside = tmp_path / "a.txt"
    inside.write_text("x")
    assert inside.read_text() == "x"
    with pytest.raises(Touched):
        (tmp_path.parent / "stray.txt").write_text("x")
    assert not (tmp_path.parent / "stray.txt").exists()
    guard.on = True
    with pytest.raises(Touched):
        Path("/etc/hostname").read_text()
