"""Lines of keys in a TOML text."""

from __future__ import annotations

import tomllib
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from seamwright.plan.lines import key_lines

TEXT = '''\
# comment = 1
title = "a # b"   # line 2
long = """
[not.a.table]
x = "y" \\""" still
"""
raw = \'\'\'
k = 1\'\'\'
after = [ # 9
  1,
  [2,
   3],  # 12
  { a = 1, "b c".d = "]" },
]
[a."b.c".d]
e.f = { g = [1,
  2] }
date = 1979-05-27 07:32:00

[[list]]
x = 1
[list.inner]
y = 2
[[list.deep]]
[[list.deep]]
z = "\\u00e9\\n"
[[list]]
x = 3
[last]
end = true'''

EXPECTED = {
    ("title",): 2,
    ("long",): 3,
    ("raw",): 7,
    ("after",): 9,
    ("after", 0): 10,
    ("after", 1): 11,
    ("after", 1, 1): 12,
    ("after", 2): 13,
    ("after", 2, "a"): 13,
    ("after", 2, "b c", "d"): 13,
    ("a", "b.c", "d"): 15,
    ("a", "b.c", "d", "e", "f"): 16,
    ("a", "b.c", "d", "e", "f", "g", 1): 17,
    ("a", "b.c", "d", "date"): 18,
    ("list", 0): 20,
    ("list", 0, "x"): 21,
    ("list", 0, "inner"): 22,
    ("list", 0, "inner", "y"): 23,
    ("list", 0, "deep", 0): 24,
    ("list", 0, "deep", 1): 25,
    ("list", 0, "deep", 1, "z"): 26,
    ("list", 1): 27,
    ("list", 1, "x"): 28,
    ("last",): 29,
    ("last", "end"): 30,
}


def every_place(value: Any, place: tuple[str | int, ...] = ()) -> set[tuple[str | int, ...]]:
    out = {place} if place else set()
    inner: Any = value.items() if isinstance(value, dict) else []
    inner = enumerate(value) if isinstance(value, list) else inner
    for key, one in inner:
        out |= every_place(one, (*place, key))
    return out


def test_lines() -> None:
    found = key_lines(TEXT)
    for place, line in EXPECTED.items():
        assert found[place] == line, place
    assert set(found) == every_place(tomllib.loads(TEXT))
    assert key_lines(TEXT.replace("\n", "\r\n")) == found


keys = st.one_of(st.from_regex(r"[a-z0-9_-]{1,4}", fullmatch=True), st.text("a.\"'é #", max_size=3))


@given(st.dictionaries(keys, st.lists(st.integers(), max_size=3), max_size=5))
def test_every_key_has_its_line(table: dict[str, list[int]]) -> None:
    rows = []
    for key, numbers in table.items():
        quoted = '"' + key.replace("\\", "\\\\").replace('"', '\\"') + '"'
        rows.append(f"{quoted} = [\n" + "".join(f" {n},\n" for n in numbers) + "]")
    text = "\n".join(rows)
    found = key_lines(text)
    assert set(found) == every_place(tomllib.loads(text))
    line = 1
    for key, numbers in table.items():
        assert found[key,] == line
        for i in range(len(numbers)):
            assert found[key, i] == line + 1 + i
        line += 2 + len(numbers)
