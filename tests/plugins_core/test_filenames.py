"""Names from inside files never become paths, and never two files one."""

from __future__ import annotations

import unicodedata
from pathlib import Path, PureWindowsPath

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from seamwright.plugins.filenames import safe_name, safe_names, same_name

AWKWARD = [
    "../../x", "a/b", "a\\b", "CON", "con.txt", "a:b", "x.", "x ", " x", "é",
    unicodedata.normalize("NFD", "é"), "A", "a", "n" * 300, "é" * 300, "", ".", "..", "\u202e",
    "\u202egnp.exe", "NUL", "lpt1", "-x", "~x", "a\nb", "a\0b", "線", "<>|?*", "...", "COM¹",
]  # fmt: skip


def folded(name: str) -> str:
    return unicodedata.normalize("NFC", unicodedata.normalize("NFKD", name).casefold())


@given(st.lists(st.text(max_size=40) | st.sampled_from(AWKWARD), max_size=12))
@example(AWKWARD)
def test_names_are_safe_and_distinct(names: list[str]) -> None:
    safe = safe_names(names)
    assert set(safe) == set(names)
    assert len({folded(s) for s in safe.values()}) == len(safe)
    for name in safe.values():
        assert Path(name).name == name == PureWindowsPath(name).name
        assert not set(name) & set('/\\:*?"<>|')
        assert name[-1] not in ". " and name[0] not in ".-~ "
        assert len(name.encode()) <= 200
        assert not any(unicodedata.category(c) in ("Cc", "Cf") for c in name)
        assert not PureWindowsPath(name).is_reserved()


@given(st.text(max_size=100) | st.sampled_from(AWKWARD))
def test_a_safe_name_is_safe_already(name: str) -> None:
    assert safe_name(safe_name(name)) == safe_name(name)


@pytest.mark.parametrize(
    ("name", "safe"),
    [("Front", "Front"), ("../../x", "_.._x"), ("a/b", "a_b"), ("CON", "CON_"), ("", "unnamed"),
     ("con.txt", "con_.txt"), ("x.", "x"), ("left  sleeve", "left sleeve"), ("größe", "größe")],
)  # fmt: skip
def test_how_names_come_out(name: str, safe: str) -> None:
    assert safe_name(name) == safe


def test_the_second_of_a_kind_gets_a_number() -> None:
    assert safe_names(["A", "a", "a/b", "a:b"]) == {
        "A": "A", "a": "a-2", "a/b": "a_b", "a:b": "a_b-2",
    }  # fmt: skip
    assert safe_names(["x"], taken=["X"]) == {"x": "x-2"}
    assert same_name("É.svg", unicodedata.normalize("NFD", "é.SVG"))
