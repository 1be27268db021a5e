"""What a step must hold: subclass `StepSuite`, name the step, give options that do something."""

from __future__ import annotations

import pickle
from collections.abc import Mapping
from typing import Any, ClassVar

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.strategies import SearchStrategy

from seamwright.findings import SeamwrightError
from seamwright.model import Pattern
from seamwright.model.edit import transform
from seamwright.pipeline import Pipeline, Use
from seamwright.plugins.api import Step
from seamwright.plugins.building import build
from seamwright.plugins.record import Record
from seamwright.plugins.registry import Registry

from .profile import tries
from .strategies import patterns

_QUICK = tries(5)


class StepSuite:
    """Conformance of one step.

    Must override: step (short or full name).
    May override: options (as a user writes them), draws (a strategy of patterns on which the step
    has something to do), rigid (False for a step that goes by a fixed direction), tolerance (mm,
    for what is refitted).
    Don't override: the tests.
    """

    step: ClassVar[str]
    options: ClassVar[Mapping[str, Any]] = {}
    draws: ClassVar[SearchStrategy[Pattern]] = patterns(max_sizes=2)
    rigid: ClassVar[bool] = True
    tolerance: ClassVar[float] = 1e-6

    # -- helpers ---------------------------------------------------------------------------

    def descriptor(self) -> Step[Any]:
        """The step, from what is installed."""
        return Registry.discover().steps.find(self.step).thing

    def run(self, pattern: Pattern) -> tuple[Pattern, Record] | None:
        """The step through the pipeline, which verifies what it promises to keep; None where it
        refuses the pattern with a clear error."""
        try:
            return Pipeline([Use(self.step, **_python_names(self.options))]).run(pattern)
        except SeamwrightError as error:
            assert error.finding.code not in ("plugin.raised", "step.breach"), error.finding.message
            assert error.finding.message
            return None

    # -- tests -----------------------------------------------------------------------------

    @_QUICK
    @given(data=st.data())
    def test_keeps_what_it_declares_and_says_only_what_it_declared(self, data: Any) -> None:
        pattern = data.draw(self.draws)
        done = self.run(pattern)
        if done is None:
            return
        after, record = done
        kept = record.steps[0].invariants
        assert [k for k in kept if not k.moved <= k.limit] == []
        declared = {code.code for code in self.descriptor().codes}
        own = {f.code for f in record.steps[0].findings}
        assert own <= declared, f"undeclared: {sorted(own - declared)}"
        if self.descriptor().kind == "check":
            assert after is pattern

    @_QUICK
    @given(data=st.data())
    def test_the_result_is_sound(self, data: Any) -> None:
        done = self.run(data.draw(self.draws))
        if done is None:
            return
        after, _ = done
        for piece in after.pieces:
            for shape in piece.shapes:
                outline = shape.seam_line
                assert outline.closed and outline.area > 0
                assert len(outline.self_intersections().own) == 0
                for notch in shape.notches:
                    assert 0.0 <= notch.station.t <= 1.0
        pickle.loads(pickle.dumps(after))

    @_QUICK
    @given(data=st.data())
    def test_one_size_alone_is_done_like_among_others(self, data: Any) -> None:
        pattern = data.draw(self.draws)
        size = pattern.base_size
        whole, alone = self.run(pattern), self.run(_only(pattern, size))
        if whole is None or alone is None:
            return
        for piece in alone[0].pieces:
            same = whole[0].piece(piece.name).in_size(size)
            found = piece.in_size(size)
            assert found.seam_line.n == same.seam_line.n
            assert np.abs(found.seam_line.segments - same.seam_line.segments).max() < self.tolerance

    @_QUICK
    @given(data=st.data(), degrees=st.floats(-180, 180), shift=st.floats(-500, 500))
    def test_a_piece_that_lies_otherwise_is_done_alike(
        self, data: Any, degrees: float, shift: float
    ) -> None:
        if not self.rigid:
            pytest.skip("the step declares that it goes by a fixed direction")
        pattern = data.draw(self.draws)
        a = np.radians(degrees)
        matrix = np.array([[np.cos(a), -np.sin(a), shift], [np.sin(a), np.cos(a), -shift]])

        def moved(p: Pattern) -> Pattern:
            return p.map_shapes(lambda _, s: transform(s, matrix))

        one, two = self.run(pattern), self.run(moved(pattern))
        assert (one is None) == (two is None)
        if one is None or two is None:
            return
        for piece in moved(one[0]).pieces:
            for shape in piece.shapes:
                other = two[0].piece(piece.name).in_size(shape.size)
                places = shape.seam_line.point_at(np.linspace(0, shape.seam_line.length, 64)[:-1])
                apart = other.seam_line.nearest(places).distances.max()
                assert apart < max(self.tolerance, 1e-6)

    def test_nothing_to_do_it_on(self) -> None:
        empty = Pattern(name="empty", pieces=(), sizes=("M",), base_size="M")
        done = self.run(empty)
        if done is not None:
            assert done[0].pieces == ()

    def test_unknown_options_are_refused(self) -> None:
        with pytest.raises(SeamwrightError):
            build(self.descriptor().options, {"no-such-option": 1})


def _only(pattern: Pattern, size: str) -> Pattern:
    pieces = tuple(
        p.but(shapes=tuple(s for s in p.shapes if s.size == size))
        for p in pattern.pieces
        if size in p.sizes
    )
    return pattern.but(pieces=pieces, sizes=(size,), base_size=size)


def _python_names(options: Mapping[str, Any]) -> dict[str, Any]:
    return {name.replace("-", "_"): value for name, value in options.items()}
