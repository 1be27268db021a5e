"""Which files a batch is made of, where their outputs go, and which plan is whose."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwright.batch.manifest import read_manifest
from seamwright.batch.sources import Style, gather, listed, places
from seamwright.cli.batch import plans_of
from seamwright.findings import SeamwrightError
from seamwright.plugins.filenames import folded

SUFFIXES = (".dxf", ".svg")


@pytest.fixture
def tree(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name in ("a.dxf", "b/c.DXF", "b/d.svg.gz", "b/d.plan.toml", "b/.hidden.dxf", ".git/x.dxf",
                 "b/notes.txt", "e/a.dxf"):  # fmt: skip
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("x")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def names(*given: str, leave: Path | None = None) -> list[str]:
    return [s.file for s in gather(given, suffixes=SUFFIXES, leave=leave).styles]


def test_a_folder_stands_for_the_pattern_files_below_it(tree: Path) -> None:
    assert names(".") == ["a.dxf", "b/c.DXF", "b/d.svg.gz", "e/a.dxf"]
    assert names("b") == ["b/c.DXF", "b/d.svg.gz"]
    found = gather(["."], suffixes=SUFFIXES)
    assert [(f.code, f.message) for f in found.findings] == [
        ("batch.left-out", "1 file of other kinds left alone")
    ]
    assert names(".", leave=tree / "e") == ["a.dxf", "b/c.DXF", "b/d.svg.gz"]


def test_patterns_of_names(tree: Path) -> None:
    assert names("*.dxf") == ["a.dxf"]
    assert names("**/*.dxf") == ["a.dxf", "e/a.dxf"]
    (tree / "[1].dxf").write_text("a file whose name looks like a pattern")
    assert names("[1].dxf") == ["[1].dxf"]
    (tree / "f.dxf").mkdir()
    assert names("*.dxf") == ["[1].dxf", "a.dxf", "f.dxf"]  # told of, not passed over


@pytest.mark.parametrize("name", ["*.nothing", "empty", "nowhere/*.dxf"])
def test_nothing_at_all_is_an_error(tree: Path, name: str) -> None:
    (tree / "empty").mkdir()
    with pytest.raises(SeamwrightError) as caught:
        gather([name], suffixes=SUFFIXES)
    assert caught.value.finding.code == "batch.empty"
    assert caught.value.finding.hint


def test_one_file_by_two_names_counts_once(tree: Path) -> None:
    (tree / "link.dxf").symlink_to("a.dxf")
    (tree / "b" / "up").symlink_to(tree, target_is_directory=True)
    found = gather([".", "./a.dxf", "b/../a.dxf"], suffixes=SUFFIXES)
    assert [s.file for s in found.styles] == ["a.dxf", "b/c.DXF", "b/d.svg.gz", "e/a.dxf"]
    codes = [f.code for f in found.findings]
    assert codes.count("batch.same-file") == 3
    assert codes.count("batch.link-loop") == 1
    # Two names of one file by hard link are two files to everybody else, and to us.
    os.link(tree / "a.dxf", tree / "hard.dxf")
    assert names("a.dxf", "hard.dxf") == ["a.dxf", "hard.dxf"]


def test_a_list(tree: Path) -> None:
    (tree / "b" / "list.txt").write_text("# spring\nc.DXF\n\nd.svg.gz\r\n")
    assert [Path(n).as_posix() for n in listed("b/list.txt")] == ["b/c.DXF", "b/d.svg.gz"]
    (tree / "none.txt").write_text("\n# nothing\n")
    with pytest.raises(SeamwrightError, match="names no file"):
        listed("none.txt")


def test_a_manifest_in_toml_and_in_csv_say_the_same(tree: Path) -> None:
    (tree / "m.toml").write_text(
        'plan = "house.plan.toml"\n[[style]]\nfile = "a.dxf"\nname = "Größe"\nplan = "a.toml"\n'
        '[[style]]\nfile = "b/*.DXF"\npipeline = "add-allowances"\n'
    )
    (tree / "m.csv").write_text(
        "file; plan; name; pipeline\na.dxf; a.toml; Größe;\nb/*.DXF; house.plan.toml;; "
        "add-allowances\n"
    )
    toml, table = read_manifest("m.toml"), read_manifest(str(tree / "m.csv"))
    assert [(s.name, s.plan, s.pipeline) for s in toml.styles] == [
        ("Größe", tree / "a.toml", None),
        ("b/c.DXF", tree / "house.plan.toml", Path("add-allowances")),
    ]
    assert [(s.plan, s.pipeline) for s in table.styles] == [
        (s.plan, s.pipeline) for s in toml.styles
    ]


@pytest.mark.parametrize(
    ("name", "text", "line", "hint"),
    [
        ("m.toml", '[[style]]\nfile = "a.dxf"\nplann = "x"\n', 1, "plan"),
        ("m.toml", '[[style]]\nfile = "a.dxf"\n[[style]]\nname = "b"\n', 3, "file"),
        ("m.toml", '[[style]]\nfile = "*.none"\n', 1, "pattern of names"),
        ("m.toml", '[[style]]\nfile = "b"\n', 1, "folder/"),
        ("m.toml", '[[style]]\nfile = 3\n', 1, "file"),
        ("m.toml", 'style = "x"\n', None, "[[style]]"),
        ("m.toml", "[[[", None, "CSV"),
        ("m.toml", "", None, "[[style]]"),
        ("m.toml", '[[style]]\nfile="a.dxf"\nname="x"\n[[style]]\nfile="e/a.dxf"\nname="x"\n',
         None, "name"),
        ("m.csv", "file,plans\na.dxf,x\n", 1, "plan"),
        ("m.csv", "file,plan\na.dxf\n", 2, ""),
    ],
)  # fmt: skip
def test_a_manifest_with_a_slip_says_where(
    tree: Path, name: str, text: str, line: int | None, hint: str
) -> None:
    (tree / name).write_text(text)
    with pytest.raises(SeamwrightError) as caught:
        read_manifest(name)
    finding = caught.value.finding
    assert (finding.file, finding.line) == (name, line)
    assert hint in (finding.hint or "")


def test_plans_by_name(tree: Path) -> None:
    plans = tree / "plans"
    plans.mkdir()
    for name in ("A.plan.toml", "c.toml", "c.plan.toml", "spring.toml"):
        (plans / name).write_text("")
    styles = gather(["."], suffixes=SUFFIXES).styles
    found = plans_of(styles, plan=None, folder="plans")
    assert found == {
        "a.dxf": str(plans / "A.plan.toml"), "b/c.DXF": str(plans / "c.plan.toml"),
        "b/d.svg.gz": None, "e/a.dxf": str(plans / "A.plan.toml"),
    }  # fmt: skip
    assert set(plans_of(styles, plan="one.toml", folder="plans").values()) == {
        str(tree / "one.toml")
    }
    with pytest.raises(SeamwrightError, match="no folder of plans"):
        plans_of(styles, plan=None, folder="pans")


def style(path: str) -> Style:
    return Style(file=path, path=Path("/r") / path, name=path, root=Path("/r"))


def test_the_tree_is_mirrored_and_stems_are_told_apart() -> None:
    styles = [style(p) for p in ("x/a.dxf", "x/a.svg", "y/a.dxf", "A.dxf", "a.dxf", "b.dxf.gz")]
    assert places(styles) == [
        ("x", "a-dxf"), ("x", "a-svg"), ("y", "a"), ("", "A-dxf"), ("", "a-dxf-2"), ("", "b"),
    ]  # fmt: skip


@given(
    st.lists(
        st.tuples(
            st.sampled_from(["", "x", "X", "y"]),
            st.sampled_from(["a", "A", "a-2", "\u00e9", "e\u0301"]),
            st.sampled_from([".dxf", ".svg", ".dxf.gz"]),
        ),
        unique=True, max_size=25,
    )
)  # fmt: skip
def test_no_two_styles_share_a_place(parts: list[tuple[str, str, str]]) -> None:
    found = places([style(os.path.join(a, b + c)) for a, b, c in parts])  # noqa: PTH118
    assert len({(folded(a), folded(b)) for a, b in found}) == len(parts)


def test_gathering_names_nothing_of_the_outside(tree: Path, tmp_path: Path, toys: Any) -> None:
    """Places stay below the output folder, whatever way a file was named."""
    (tree / "sub").mkdir()
    os.chdir(tree / "sub")
    found = gather(["../a.dxf", "../b/c.DXF"], suffixes=SUFFIXES)
    assert places(found.styles) == [("", "a"), ("b", "c")]
