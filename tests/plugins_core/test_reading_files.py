"""Opening, recognising and reading: bounded, by content, with one clear error."""

from __future__ import annotations

import gzip
import os
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwright.findings import SeamwrightError
from seamwright.plugins.api import Guess, Length, Limits
from seamwright.plugins.inputs import beside, open_input, plan_beside, stem_of, suffix_of
from seamwright.plugins.reading import read
from seamwright.plugins.sniffing import recognise


def error_of(work: Any) -> Any:
    with pytest.raises(SeamwrightError) as caught:
        work()
    finding = caught.value.finding
    assert finding.message and finding.file
    return finding


def test_a_file_is_read_with_its_findings_signed(toys: Any, tmp_path: Path) -> None:
    path = toys.save(tmp_path / "blouse.toy", toys.pattern())
    found = read(path, registry=toys.registry(toys.toy_format()))
    assert found.pattern.name == "Toy blouse"
    assert [(f.code, f.plugin, f.file) for f in found.findings] == [
        ("toy.read", "toys/toy", str(path))
    ]
    assert found.format.full == "toys/toy"
    assert len(found.source.digest) == 64
    assert found.source.data == b""


def test_options_by_name_by_instance_and_as_words(toys: Any, tmp_path: Path) -> None:
    path = toys.save(tmp_path / "b.toy", toys.pattern(plain=True))
    registry = toys.registry(toys.toy_format())
    wide = [
        read(path, options=options, registry=registry, words=words).pattern
        for options, words in (
            ({"scale": 2.0}, False), (toys.ToyIn(scale=2.0), False), ({"scale": "2"}, True),
        )
    ]  # fmt: skip
    for pattern in wide:
        assert pattern.piece("Front").shapes[0].seam_line.bbox[2] == 200.0
    with pytest.raises(SeamwrightError, match="no option"):
        read(path, options={"scales": 2.0}, registry=registry)
    with pytest.raises(SeamwrightError, match="is 30 mm"):
        read(path, options=toys.ToyIn(join=Length(30)), registry=registry)
    found = read(path, options={"px": "3"}, registry=registry, ignore_unknown=True)
    assert found.options == toys.ToyIn()


@pytest.mark.parametrize("name", ["b.toy", "b.TOY", "b.dat", "b"])
@pytest.mark.parametrize("zipped", [False, True])
def test_the_content_decides(toys: Any, tmp_path: Path, name: str, zipped: bool) -> None:
    path = toys.save(tmp_path / name, toys.pattern(plain=True))
    if zipped:
        path.write_bytes(gzip.compress(path.read_bytes()))
    assert read(path, registry=toys.registry(toys.toy_format())).pattern.name == "Toy blouse"


def sniffing(answer: Guess) -> Any:
    return lambda head: answer


@pytest.mark.parametrize(
    ("formats", "name", "expected"),
    [
        ([("a", "maybe", ".a"), ("b", "yes", ".b")], "x.a", "toys/b"),
        ([("a", "yes", ".a"), ("b", "yes", ".b")], "x.b", "toys/b"),
        ([("a", "maybe", ".a"), ("b", "maybe", ".b")], "x.b", "toys/b"),
        ([("a", "yes", ".a"), ("b", "yes", ".b")], "x.c", "format.ambiguous"),
        ([("a", "yes", ".a"), ("b", "yes", ".a")], "x.a", "format.ambiguous"),
        ([("a", "no", ".a"), ("b", "no", ".b")], "x.a", "format.unknown"),
        ([("b", "yes", ".b"), ("a", "maybe", ".a")], "x.a", "toys/b"),
    ],
)
def test_yes_beats_maybe_and_the_suffix_breaks_ties(
    toys: Any, tmp_path: Path, formats: Any, name: str, expected: str
) -> None:
    things = [toys.toy_format(n, suffixes=(s,), sniff=sniffing(Guess(g))) for n, g, s in formats]
    (tmp_path / name).write_bytes(b"something")
    source = open_input(tmp_path / name)
    for order in (things, things[::-1]):
        try:
            assert recognise(source, toys.registry(*order)).full == expected
        except SeamwrightError as error:
            assert error.finding.code == expected
            assert error.finding.hint


def test_a_sniff_that_raises_is_one_finding(toys: Any, tmp_path: Path) -> None:
    def broken(head: Any) -> Guess:
        raise ZeroDivisionError

    path = toys.save(tmp_path / "x.toy", toys.pattern(plain=True))
    bad = toys.toy_format("bad", suffixes=(".bad",), sniff=broken)
    assert recognise(open_input(path), toys.registry(bad, toys.toy_format())).name == "toy"
    with pytest.raises(SeamwrightError) as caught:
        recognise(open_input(path), toys.registry(bad))
    assert [f.code for f in caught.value.others] == ["plugin.raised"]


def test_a_named_format_is_taken_at_its_word(toys: Any, tmp_path: Path) -> None:
    (tmp_path / "x.toy").write_bytes(b"not a toy")
    registry = toys.registry(toys.toy_format(), toys.toy_format("out", reads=False))
    finding = error_of(lambda: read(tmp_path / "x.toy", format="toy", registry=registry))
    assert finding.code == "toy.broken"
    finding = error_of(lambda: read(tmp_path / "x.toy", format="out", registry=registry))
    assert finding.code == "format.not-read"


def test_what_stands_beside_is_handed_over(toys: Any, tmp_path: Path) -> None:
    path = toys.save(tmp_path / "Style.toy", toys.pattern(plain=True))
    (tmp_path / "style.RUL").write_bytes(b"rules")
    (tmp_path / "other.rul").write_bytes(b"not these")
    (tmp_path / "style.txt").write_bytes(b"nor this")
    found = read(path, registry=toys.registry(toys.toy_format(beside=(".rul",))))
    assert found.facts == {"beside": [".rul"]}
    assert beside(path, (".rul", ".none"), Limits()) == {".rul": b"rules"}


def test_a_plan_beside(tmp_path: Path) -> None:
    assert plan_beside(tmp_path / "blouse.svg") is None
    (tmp_path / "blouse.plan.toml").write_text("")
    for name in ("blouse.svg", "blouse.dxf", "blouse.svg.gz"):
        assert plan_beside(tmp_path / name) == tmp_path / "blouse.plan.toml"
    assert (stem_of(Path("a.b.svg")), suffix_of(Path("a.SVG.gz"))) == ("a.b", ".svg")


def test_what_cannot_be_opened(tmp_path: Path) -> None:
    (tmp_path / "blouse.toy").write_bytes(b"x")
    (tmp_path / "nothing").write_bytes(b"")
    finding = error_of(lambda: open_input(tmp_path / "blouze.toy"))
    assert (finding.code, finding.hint) == ("file.missing", 'did you mean "blouse.toy"?')
    assert error_of(lambda: open_input(tmp_path / "no" / "x.toy")).code == "file.missing"
    assert error_of(lambda: open_input(tmp_path)).code == "file.is-folder"
    assert error_of(lambda: open_input(tmp_path / "nothing")).code == "file.empty"
    assert error_of(lambda: open_input("a\0b")).code == "file.unreadable"
    if os.geteuid() != 0:
        (tmp_path / "blouse.toy").chmod(0)
        assert error_of(lambda: open_input(tmp_path / "blouse.toy")).code == "file.unreadable"


def test_nothing_is_read_beyond_the_limit(tmp_path: Path) -> None:
    limits = Limits(bytes=1000)
    plain, bomb = tmp_path / "a", tmp_path / "b"
    plain.write_bytes(b"x" * 1001)
    bomb.write_bytes(gzip.compress(b"\0" * 500_000) * 3)
    assert bomb.stat().st_size > 1000
    finding = error_of(lambda: open_input(plain, limits=limits))
    assert finding.code == "file.too-large"
    assert "--limit bytes=" in finding.hint
    finding = error_of(lambda: open_input(bomb, limits=Limits(bytes=100_000)))
    assert finding.code == "file.too-large"
    plain.write_bytes(b"x" * 1000)
    assert len(open_input(plain, limits=limits).data) == 1000


@given(data=st.binary(min_size=1, max_size=200), cut=st.integers(0, 60))
def test_damaged_gzip_is_one_error_and_whole_gzip_is_itself(
    data: bytes, cut: int, tmp_path_factory: pytest.TempPathFactory
) -> None:
    path = tmp_path_factory.mktemp("gz") / "x.gz"
    zipped = gzip.compress(data) + gzip.compress(data)
    path.write_bytes(zipped)
    assert open_input(path).data == data + data
    path.write_bytes(zipped[: max(2, len(zipped) - 1 - cut)])
    try:
        assert open_input(path).data == data  # the cut fell between the two
    except SeamwrightError as error:
        assert error.finding.code == "file.damaged-gzip"


def test_an_unknown_file_says_what_could_be_done(toys: Any, tmp_path: Path) -> None:
    page = tmp_path / "x.toy"
    page.write_bytes(b"<!DOCTYPE html><html>")
    finding = error_of(lambda: read(page, registry=toys.registry(toys.toy_format())))
    assert finding.code == "format.unknown"
    assert finding.hint == "by its suffix it should be toy, but its first bytes are a web page"
    other = tmp_path / "x.odd"
    other.write_bytes(b"\x00\x01odd")
    finding = error_of(lambda: read(other, registry=toys.registry(toys.toy_format())))
    assert finding.hint == "files that can be read: .toy"
    finding = error_of(lambda: read(other, registry=toys.registry()))
    assert "none, no reader is installed" in finding.hint


def test_an_unknown_file_names_the_plugin_that_failed(toys: Any, tmp_path: Path) -> None:
    from seamwright.plugins.registry import Registry

    class Broken:
        API = 99

    (tmp_path / "x.odd").write_bytes(b"odd")
    registry = Registry(of=[("toys", toys.plugin(toys.toy_format())), ("odd", Broken())])
    finding = error_of(lambda: read(tmp_path / "x.odd", registry=registry))
    assert "it may belong to the plugin odd" in finding.hint
    assert "was made for API 99" in finding.hint


def test_a_reader_that_raises_is_one_finding(toys: Any, tmp_path: Path) -> None:
    def broken(*_: Any) -> Any:
        raise KeyError("deep inside")

    path = toys.save(tmp_path / "x.toy", toys.pattern(plain=True))
    registry = toys.registry(toys.toy_format(read=broken))
    finding = error_of(lambda: read(path, registry=registry))
    assert (finding.code, finding.file, finding.plugin) == ("plugin.raised", str(path), "toys/toy")
