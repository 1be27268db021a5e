"""Pipelines as text and in Python: the same thing, and every fault with its line."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwright.findings import SeamwrightError
from seamwright.pipeline import Except, Pipeline, Use
from seamwright.plugins.api import Angle, Length

TEXT = """\
seamwright = 1
units = "in"
plan = "blouse.plan.toml"

[[step]]
use = "walk"

[[step]]
use = "nudge"
note = "because"
pieces = ["Front"]
sizes = ["S", "L"]
except = { sizes = ["L"] }
by = "1/2 in"

[[step]]
use = "write"
to = "{stem}.toy"
"""


def test_a_text_and_python_say_the_same() -> None:
    loaded = Pipeline.loads(TEXT)
    assert loaded == Pipeline(
        [
            Use("walk"),
            Use(
                "nudge", pieces=["Front"], sizes=("S", "L"), except_={"sizes": ["L"]},
                note="because", by="1/2 in",
            ),
            Use("write", to="{stem}.toy"),
        ],
        units="in",
        plan="blouse.plan.toml",
    )  # fmt: skip
    assert loaded.uses[1].leave == Except(sizes=("L",))
    assert Pipeline.loads(loaded.to_toml()) == loaded


def test_loading_from_a_file_and_from_text(tmp_path: Path) -> None:
    path = tmp_path / "p.toml"
    path.write_bytes(b"\xef\xbb\xbf" + TEXT.encode())
    assert Pipeline.load(path) == Pipeline.load(TEXT) == Pipeline.load(str(path))
    path.write_bytes(b"\xff\xfe")
    with pytest.raises(SeamwrightError, match="not UTF-8"):
        Pipeline.load(path)
    with pytest.raises(SeamwrightError) as caught:
        Pipeline.load(tmp_path / "q.toml")
    assert caught.value.finding.code == "file.missing"


names = st.text(min_size=1, max_size=12)
values = st.recursive(
    st.booleans()
    | st.integers(-(2**63), 2**63 - 1)
    | st.floats(allow_nan=False)
    | st.text(max_size=20)
    | st.floats(-1e6, 1e6).map(Length)
    | st.floats(-360, 360).map(Angle),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(names, inner, max_size=3),
    max_leaves=6,
)
keys = st.from_regex(r"[a-z][a-z0-9-]{0,10}", fullmatch=True).filter(
    lambda k: k not in ("use", "note", "pieces", "sizes", "except")
)
lists_of_names = st.none() | st.lists(names, min_size=1, max_size=3)


@st.composite
def uses(draw: st.DrawFn) -> Use:
    leave = draw(
        st.none()
        | st.builds(
            Except, pieces=st.lists(names, min_size=1, max_size=2).map(tuple), sizes=st.just(())
        )
    )
    return Use(
        draw(names),
        draw(st.dictionaries(keys, values, max_size=4)),
        pieces=draw(lists_of_names),
        sizes=draw(lists_of_names),
        except_=leave,
        note=draw(st.text(max_size=10)),
    )


@given(
    st.lists(uses(), min_size=1, max_size=4),
    st.sampled_from(["mm", "cm", "in"]),
    st.none() | st.text(min_size=1, max_size=10),
    st.text(max_size=10),
)
def test_load_and_to_toml_are_inverse(
    steps: list[Use], units: Any, plan: str | None, note: str
) -> None:
    pipeline = Pipeline(steps, units=units, plan=plan, note=note)
    assert Pipeline.loads(pipeline.to_toml()) == pipeline


def faults(text: str) -> list[tuple[str, int | None, str]]:
    with pytest.raises(SeamwrightError) as caught:
        Pipeline.loads(text, name="p.toml")
    found = [caught.value.finding, *caught.value.others]
    assert all(f.file == "p.toml" for f in found)
    return [(f.code, f.line, f.hint or "") for f in found]


@pytest.mark.parametrize(
    ("text", "code", "line", "hint"),
    [
        ("seamwright = 1\n[[step]\n", "pipeline.syntax", 2, "quotes"),
        ("[[step]]\nuse = 'a'\n", "pipeline.version", None, "seamwright = 1"),
        ("seamwright = 2\n[[step]]\nuse = 'a'\n", "pipeline.version", 1, "version 1"),
        ("seamwright = true\n[[step]]\nuse = 'a'\n", "pipeline.version", 1, "version 1"),
        ("seamwright = 1\n\nstpe = 3\n[[step]]\nuse = 'a'", "pipeline.key", 3, '"step"'),
        ("seamwright = 1\nunits = 'inch'\n[[step]]\nuse = 'a'", "pipeline.value", 2, '"in"'),
        ("seamwright = 1\n", "pipeline.value", None, "[[step]]"),
        ("seamwright = 1\n[step]\nuse = 'a'\n", "pipeline.value", 2, "[[step]]"),
        ("seamwright = 1\n[[step]]\nto = 'a'\n", "pipeline.value", 2, "use ="),
        ("seamwright = 1\n[[step]]\nuse = 'a'\npieces = 'B'\n", "pipeline.value", 4, '["B"]'),
        ("seamwright = 1\n[[step]]\nuse = 'a'\nsizes = [8]\n", "pipeline.value", 4, '["8"]'),
        ("seamwright = 1\n[[step]]\nuse = 'a'\nsizes = []\n", "pipeline.value", 4, "at least one"),
        ("seamwright = 1\n[[step]]\nuse = 'a'\nexcept = ['B']\n", "pipeline.value", 4, "except ="),
        (
            "seamwright = 1\n[[step]]\nuse = 'a'\nexcept = { peices = ['B'] }\n",
            "pipeline.key", 4, '"pieces"',
        ),
        ("seamwright = 1\n[[step]]\nuse = 'a'\nx = 1979-05-27\n", "pipeline.value", 2, ""),
    ],
)  # fmt: skip
def test_every_fault_has_its_line_and_a_remedy(
    text: str, code: str, line: int | None, hint: str
) -> None:
    found = faults(text)
    assert (found[0][0], found[0][1]) == (code, line)
    assert hint in found[0][2]


def test_all_faults_are_told_at_once() -> None:
    text = "seamwright = 1\nplna = 'x'\n[[step]]\npieces = 'B'\n[[step]]\nuse = 3\n"
    assert [f[1] for f in faults(text)] == [2, 3, 4, 6]


def test_deep_nesting_is_an_error_not_a_crash() -> None:
    deep = "seamwright = 1\nx = " + "[" * 20_000
    assert faults(deep)[0][0] == "pipeline.syntax"


def test_options_that_no_file_can_hold_are_refused_in_python() -> None:
    with pytest.raises(TypeError, match="not a value that an option can have"):
        Use("a", by=object())
    assert Use("a", by=None) == Use("a")
