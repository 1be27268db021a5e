"""What a file format must hold: subclass `FormatSuite`, name the format, run pytest."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, ClassVar

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwright.findings import SeamwrightError
from seamwright.model import Pattern
from seamwright.plugins.api import Carried, Context, Format, Guess, Head, ReadResult, Source
from seamwright.plugins.building import build
from seamwright.plugins.descriptors import Feature
from seamwright.plugins.loss import carries_with, losses
from seamwright.plugins.names import Entry
from seamwright.plugins.readback import compare
from seamwright.plugins.registry import Registry

from .equal import assert_patterns_equal
from .profile import tries
from .strategies import patterns

_NOISE = (
    b"",
    b"\x00" * 64,
    b"hello, this is a letter and no pattern\n",
    bytes(range(256)),
    b"%PDF-1.7\n1 0 obj\n",
    b"PK\x03\x04 a zip archive",
)
_QUICK = tries(8)


class FormatSuite:
    """Conformance of one format.

    Must override: format (short or full name).
    May override: read_options, write_options (mappings as a user writes them), samples (a folder
    of files that must be read without an error), ignore (field names that the read pattern may
    give otherwise although all is carried, with a reason in a comment), draws (the strategy of
    patterns to try).
    Don't override: the tests.
    """

    format: ClassVar[str]
    read_options: ClassVar[Mapping[str, Any]] = {}
    write_options: ClassVar[Mapping[str, Any]] = {}
    samples: ClassVar[Path | None] = None
    ignore: ClassVar[tuple[str, ...]] = ()

    # -- helpers ---------------------------------------------------------------------------

    def entry(self) -> Entry[Format]:
        """The format with its plugin, from what is installed."""
        return Registry.discover().formats.find(self.format)

    def write(self, pattern: Pattern) -> Mapping[str, bytes]:
        """Suffix -> bytes of every part."""
        writer = self.entry().thing.writer
        if writer is None:
            pytest.skip(f"{self.format} declares no writer")
        options = build(writer.options, self.write_options)
        return {p.suffix: p.data for p in writer.run(pattern, options, Context()).parts}

    def read(self, parts: Mapping[str, bytes]) -> ReadResult:
        """The parts read back."""
        reader = self.entry().thing.reader
        if reader is None:
            pytest.skip(f"{self.format} declares no reader")
        options = build(reader.options, self.read_options)
        beside = {k: v for k, v in parts.items() if k}
        name = "pattern" + self.entry().thing.suffixes[0]
        return reader.run(Source(name=name, data=parts[""], beside=beside), options, Context())

    def carries(self) -> Mapping[Feature, Carried]:
        """What is carried, written with `write_options`."""
        thing = self.entry().thing
        options = None if thing.writer is None else build(thing.writer.options, self.write_options)
        return carries_with(thing, options)

    def written_options(self) -> Any:
        """The writer's options as an object."""
        writer = self.entry().thing.writer
        assert writer is not None
        return build(writer.options, self.write_options)

    # -- tests -----------------------------------------------------------------------------

    @_QUICK
    @given(pattern=patterns())
    def test_knows_its_own_output(self, pattern: Pattern) -> None:
        thing = self.entry().thing
        data = self.write(pattern)[""]
        head = Head(name="x", suffix=thing.suffixes[0], data=data[:4096])
        assert thing.sniff(head) is Guess.YES

    @pytest.mark.parametrize("noise", _NOISE)
    def test_claims_no_noise(self, noise: bytes) -> None:
        thing = self.entry().thing
        for suffix in (*thing.suffixes, ".xyz", ""):
            head = Head(name="x" + suffix, suffix=suffix, data=noise)
            assert thing.sniff(head) is not Guess.YES

    @_QUICK
    @given(pattern=patterns())
    def test_reads_back_what_it_says_that_it_carries(self, pattern: Pattern) -> None:
        back = self.read(self.write(pattern)).pattern
        found = compare(pattern, back, self.entry(), options=self.written_options())
        assert [f.message for f in found if f.code == "loss.unannounced"] == []
        if all(how.how == "exact" for how in self.carries().values()) and not losses(
            pattern, self.entry().thing, options=self.written_options()
        ):
            assert_patterns_equal(back, pattern, ignore=self.ignore)

    @_QUICK
    @given(pattern=patterns())
    def test_same_bytes_twice(self, pattern: Pattern) -> None:
        assert self.write(pattern) == self.write(pattern)

    @tries(4)
    @given(pattern=patterns(), places=st.lists(st.floats(0, 1), min_size=16, max_size=16))
    def test_a_file_cut_off_anywhere_is_told(self, pattern: Pattern, places: list[float]) -> None:
        whole = self.write(pattern)
        for place in places:
            cut = {**whole, "": whole[""][: int(place * (len(whole[""]) - 1))]}
            self._read_or_told(cut, pattern)

    @tries(6)
    @given(
        pattern=patterns(max_pieces=1, max_sizes=1),
        place=st.floats(0, 1),
        byte=st.integers(0, 255),
    )
    def test_a_flipped_byte_ends_in_a_result_or_one_clear_error(
        self, pattern: Pattern, place: float, byte: int
    ) -> None:
        whole = self.write(pattern)
        data = bytearray(whole[""])
        data[int(place * (len(data) - 1))] = byte
        self._read_or_told({**whole, "": bytes(data)})

    @pytest.mark.parametrize("side", ["reader", "writer"])
    def test_unknown_options_are_refused(self, side: str) -> None:
        direction = getattr(self.entry().thing, side)
        if direction is None:
            pytest.skip(f"{self.format} declares no {side}")
        with pytest.raises(SeamwrightError):
            build(direction.options, {"no-such-option": 1})

    def test_reads_its_samples(self) -> None:
        if self.samples is None:
            pytest.skip("no samples declared")
        files = sorted(p for p in self.samples.iterdir() if p.is_file())
        assert files, f"no files in {self.samples}"
        for path in files:
            assert self.read({"": path.read_bytes()}).pattern.pieces, path.name

    def _read_or_told(self, parts: Mapping[str, bytes], whole: Pattern | None = None) -> None:
        """Either an error that says something, or a pattern; a loss against `whole` must be
        told by a finding."""
        try:
            result = self.read(parts)
        except SeamwrightError as error:
            assert error.finding.message and error.finding.code
            return
        if whole is not None and len(result.pattern.pieces) < len(whole.pieces):
            assert result.findings, "pieces are gone and nothing was said"
