"""The paper-only command: four lengths in, ease, verdict and folds out."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

import seamwright
from seamwright.cli.ease import command
from seamwright.findings import SeamwrightError
from seamwright.paper import cloths

FIRM = [
    "--cap-front", "10 1/4 in", "--cap-back", "10 3/4 in",
    "--armhole-front", "9 1/2 in", "--armhole-back", "9 3/4 in", "--cloth", "firm woven",
]  # fmt: skip


SCHEMA = json.loads(
    (Path(seamwright.__file__).parent / "cli" / "schemas" / "ease.json").read_text()
)


def run(*args: str, code: int = 0) -> str:
    result = CliRunner().invoke(command, list(args))
    assert result.exit_code == code, result.output
    if "--json" in args:
        jsonschema.validate(json.loads(result.stdout), SCHEMA)
    return result.stdout


def test_says_ease_verdict_and_where_to_fold() -> None:
    out = run(*FIRM, "--units", "in")
    assert "too much by 3/8 in" in out and "too much by 1/4 in" in out
    assert "Back: 1 7/8 in down the cap from the shoulder point" in out
    assert "fold out 3/16 in at the edge" in out and "fold out 1/8 in at the edge" in out
    assert "above the bicep line" in out and "cheap cloth" in out and "fitter" in out
    assert out.isascii()
    assert max(map(len, out.splitlines())) < 110


def test_json_is_one_document_in_mm() -> None:
    document = json.loads(run(*FIRM, "--units", "in", "--json"))
    back, front = document["sides"]
    assert (back["side"], front["side"]) == ("back", "front")
    assert back["ease"] == pytest.approx(25.4) and front["ease"] == pytest.approx(19.05)
    assert back["at_most"] == pytest.approx(15.875) and front["at_least"] == pytest.approx(9.525)
    assert sum(t["width"] for t in back["tucks"]) == pytest.approx(25.4 - 15.875)
    assert sum(t["width"] for t in front["tucks"]) == pytest.approx(19.05 - 12.7)
    assert document["total_ease"] == pytest.approx(44.45)
    assert {f["code"] for f in document["findings"]} == {"ease.over"}
    assert json.loads(run(*FIRM, "--json", "--fail-on", "warning", code=1))["findings"]
    assert document["instructions"] and document["cautions"]


def test_bare_numbers_count_in_the_units_asked_for() -> None:
    inches = json.loads(
        run("--cap-back", "10", "--cap-front", "10", "--armhole-back", "9.5",
            "--armhole-front", "9 1/2", "--cloth", "knit", "--units", "in", "--json")
    )  # fmt: skip
    assert [s["ease"] for s in inches["sides"]] == pytest.approx([12.7, 12.7])


def test_a_cap_that_fits_folds_nothing() -> None:
    out = run("--cap-back", "250", "--cap-front", "245", "--armhole-back", "240",
              "--armhole-front", "233", "--cloth", "firm woven")  # fmt: skip
    assert "Nothing needs folding out." in out and "V" not in out


def test_too_little_ease_is_said_and_nothing_is_folded() -> None:
    document = json.loads(
        run("--cap-back", "250", "--cap-front", "230", "--armhole-back", "240",
            "--armhole-front", "233", "--cloth", "firm woven", "--json")
    )  # fmt: skip
    assert [s["verdict"] for s in document["sides"]] == ["ok", "under"]
    (finding,) = document["findings"]
    assert finding["code"] == "ease.under" and finding["seam"] == "front"
    assert finding["measured"] == pytest.approx(-3.0)
    assert not document["instructions"]


def test_more_than_folding_takes_is_an_error_that_says_what_else_helps() -> None:
    args = ["--cap-back", "280", "--cap-front", "250", "--armhole-back", "230",
            "--armhole-front", "240", "--cloth", "firm woven"]  # fmt: skip
    out = run(*args, code=1)
    assert "folding alone will not do" in out and "lower the cap" in out
    document = json.loads(run(*args, "--json", code=1))
    short = next(f for f in document["findings"] if f["code"] == "ease.short")
    assert short["measured"] < short["limit"]
    back = document["sides"][0]
    assert back["taken"] + back["short"] == pytest.approx(back["need"])


def test_a_measured_notch_keeps_the_tucks_above_it() -> None:
    document = json.loads(
        run(*FIRM, "--units", "in", "--notch-back", "2 1/4 in", "--json")
    )  # fmt: skip
    notch = 2.25 * 25.4
    for tuck in document["sides"][0]["tucks"]:
        assert tuck["from_shoulder"] + tuck["width"] / 2 < notch


def test_targets_stand_in_for_a_cloth() -> None:
    document = json.loads(
        run("--cap-back", "250", "--cap-front", "250", "--armhole-back", "240",
            "--armhole-front", "240", "--target-back", "6", "--target-front", "0", "--json",
            "--largest-tuck", "3.2")
    )  # fmt: skip
    back, front = document["sides"]
    assert sum(t["width"] for t in back["tucks"]) == pytest.approx(4)
    assert sum(t["width"] for t in front["tucks"]) == pytest.approx(10)
    assert len(front["tucks"]) == 4
    assert document["cloth"] is None


def test_slash_is_told_as_a_cut_to_a_hinge() -> None:
    out = run(*FIRM, "--units", "in", "--manner", "slash")
    assert "hinge" in out and "overlap 3/16 in at the edge" in out and "Pinch" not in out


def test_own_cloths_come_from_a_table(tmp_path) -> None:  # type: ignore[no-untyped-def]
    table = tmp_path / "mine.toml"
    table.write_text(
        '[[cloth]]\nname = "stage brocade"\nback = { at-most = "1/8 in" }\n'
        'front = { at-most = "0 mm" }\nsource = "our own trial"\n'
    )
    args = [*FIRM[:-1], "Stage  Brocade", "--cloths", str(table), "--json"]
    document = json.loads(run(*args))
    assert document["cloth"] == {"name": "stage brocade", "source": "our own trial"}
    assert document["sides"][0]["at_most"] == pytest.approx(3.175)
    table.write_text('[[cloth]]\nname = "x"\nback = { most = "1 in" }\n')
    with pytest.raises(SeamwrightError, match="at-most"):
        CliRunner().invoke(command, args[:-1], catch_exceptions=False)
    refused = json.loads(run(*args, code=2))
    assert refused["findings"][0]["code"] == "cloth.table" and refused["sides"] == []


def test_an_unknown_cloth_is_refused_with_the_nearest_name() -> None:
    with pytest.raises(SeamwrightError) as caught:
        CliRunner().invoke(command, [*FIRM[:-1], "firm wovn"], catch_exceptions=False)
    assert caught.value.finding.code == "cloth.unknown"
    assert '"firm woven"' in (caught.value.finding.hint or "")


def test_the_table_lists_every_source() -> None:
    out = run("--list-cloths", "--units", "in")
    assert out.count("\n  source: ") == out.count("\n  back ") == len(cloths())
    assert "common practice, no source" in out and "McCunn" in out and "up to 5/8 in" in out


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (FIRM[2:], "--cap-front"),
        (FIRM[:-2], "--cloth"),
        ([*FIRM[:1], "ten inches", *FIRM[2:]], "ten inches"),
        ([*FIRM[:1], "-3 mm", *FIRM[2:]], "not above 0"),
        ([*FIRM, "--largest-tuck", "12 mm"], "bubble"),
        ([*FIRM, "--target-back", "6", "--target-front", "6"], "not all three"),
        ([*FIRM, "--units", "feet"], "feet"),
    ],
)
def test_bad_input_ends_in_one_clear_line(args: list[str], says: str) -> None:
    result = CliRunner().invoke(command, args)
    assert result.exit_code == 2
    assert says in result.stderr and "Traceback" not in result.stderr and result.stdout == ""


def test_asks_for_what_is_missing_only_on_a_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("seamwright.cli.ease._asks", lambda: True)
    result = CliRunner().invoke(
        command,
        ["--units", "in", "--json"],
        input="10 3/4\n10 1/4\n9 3/4\nnine\n9 1/2\nknit\n",
    )
    assert result.exit_code == 0, result.output
    document = json.loads(result.stdout)
    assert [s["ease"] for s in document["sides"]] == pytest.approx([25.4, 19.05])
    assert document["cloth"]["name"] == "knit"
    assert "Cap" not in result.stdout and '"nine" is not a length' in result.stderr


def test_a_slip_of_the_unit_is_doubted() -> None:
    out = run("--cap-back", "10.5", "--cap-front", "10", "--armhole-back", "10",
              "--armhole-front", "9.5", "--cloth", "shirt")  # fmt: skip
    assert "Was another unit meant?" in out


LENGTHS = st.floats(min_value=60, max_value=600)


@given(LENGTHS, LENGTHS, LENGTHS, LENGTHS, st.floats(0, 30), st.floats(0, 30))
def test_what_is_folded_is_what_is_above_the_target(
    cap_back: float, cap_front: float, hole_back: float, hole_front: float, b: float, f: float
) -> None:
    result = CliRunner().invoke(
        command,
        ["--cap-back", repr(cap_back), "--cap-front", repr(cap_front),
         "--armhole-back", repr(hole_back), "--armhole-front", repr(hole_front),
         "--target-back", repr(b), "--target-front", repr(f), "--json"],
    )  # fmt: skip
    document = json.loads(result.stdout)
    for side, target in zip(document["sides"], (b, f), strict=True):
        folded = sum(t["width"] for t in side["tucks"])
        if side["verdict"] == "over":
            assert folded + side["short"] == pytest.approx(side["ease"] - target, abs=1e-9)
        else:
            assert folded == 0
    short = any(s["short"] > 0 for s in document["sides"])
    assert result.exit_code == (1 if short else 0)


def test_works_without_numpy_and_without_discovery() -> None:
    code = (
        "import sys\n"
        "from seamwright.cli.ease import command\n"
        f"command({FIRM!r}, standalone_mode=False)\n"
        "heavy = {'numpy', 'scipy', 'shapely', 'ezdxf', 'svgelements', 'rich'} & set(sys.modules)\n"
        "assert not heavy, heavy\n"
        "assert 'importlib.metadata' not in sys.modules or not any(\n"
        "    m.startswith('seamwright_') for m in sys.modules)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
