"""House rules: layers, what they change in a check, and that each finding says which it broke."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from seamwright.cli.main import group
from seamwright.demo.blouse import blouse
from seamwright.findings import SeamwrightError
from seamwright.house import House, judged, layered, load_house
from seamwright.manual import find, topics
from seamwright.model import Pattern
from seamwright.plan import apply_plan, load_plan

HEAD = "seamwright-house = 1\n"


@pytest.fixture(scope="module")
def style() -> Pattern:
    from importlib.resources import files

    plan = files("seamwright.demo").joinpath("data", "chorus-blouse.plan.toml").read_bytes()
    return apply_plan(blouse(["C", "D"]), load_plan(plan, "plan"))[0]


def rules(text: str, name: str = "house.toml") -> House:
    return load_house(HEAD + text, name)


def found(style: Pattern, house: House, code: str, **options: Any) -> list[Any]:
    checked = judged(style, options, house=house)
    return [f for f in checked.findings if f.code == code]


def test_without_rules_a_check_is_as_it_was(style: Pattern) -> None:
    plain, empty = judged(style, {}), judged(style, {}, house=House())
    assert plain.seams == empty.seams and plain.findings == empty.findings


def test_a_rule_for_ease_beats_the_plan_and_is_named(style: Pattern) -> None:
    text = '[[ease]]\nseam = "SLEEVE*back"\nat-least = 0\nat-most = 500\n'
    assert found(style, rules(text), "seam.over") != found(style, House(), "seam.over")
    assert not [
        f for f in found(style, rules(text), "seam.over") if f.seam == "sleeve to armhole, back"
    ]
    tight = text.replace("500", "1")
    over = [f for f in found(style, rules(tight), "seam.over") if "back" in str(f.seam)]
    assert over and all(f.rule == 'ease of "SLEEVE*back" (house.toml, line 2)' for f in over)
    assert all(f.limit == 1.0 for f in over)


def test_the_last_rule_that_matches_counts_and_layers_come_in_order(style: Pattern) -> None:
    house = rules('[[ease]]\nseam = "*"\nat-least = 0\nat-most = 1\n')
    customer = rules('[[ease]]\nseam = "*"\nat-least = -500\nat-most = 500\n', "customer.toml")
    assert found(style, layered([house, customer]), "seam.over") == []
    over = found(style, layered([customer, house]), "seam.over")
    assert over and {f.rule for f in over} == {'ease of "*" (house.toml, line 2)'}


def test_ease_by_cloth(style: Pattern) -> None:
    text = 'cloth = "wet leather"\n[[ease]]\nseam = "*"\ncloth = "{}"\nat-least = 0\nat-most = 1\n'
    assert found(style, rules(text.format("Wet Leather")), "seam.over")
    other = rules(text.format("denim"))
    assert found(style, other, "house.cloth-unknown")
    assert judged(style, {}, house=other).seams == judged(style, {}).seams
    table = rules('cloth = "firm woven"')
    over = [f for f in found(style, table, "seam.over") if "sleeve to" in str(f.seam)]
    assert over and all("cloth (house.toml, line 2)" in str(f.rule) for f in over)


def test_a_rule_may_be_for_one_half_of_a_cap(style: Pattern) -> None:
    house = rules('[[ease]]\nseam = "*"\ncap = "front"\nat-least = 0\nat-most = 1\n')
    ruled = [f for f in found(style, house, "seam.over") if f.rule]
    assert ruled and {f.seam for f in ruled} == {"sleeve to armhole, front"}


def test_tolerances_go_to_the_walk_and_the_user_has_the_last_word(style: Pattern) -> None:
    loose = rules('[tolerance]\nseam = "500 mm"\n')
    plain = style.but(seams=tuple(replace(s, ease=None) for s in style.seams))
    strict = rules("[tolerance]\nseam = 0\n")
    over = found(plain, strict, "seam.over")
    assert over and all(f.rule == "tolerance seam (house.toml, line 3)" for f in over)
    assert not found(plain, loose, "seam.over")
    said = judged(plain, {"tolerance": "500 mm"}, house=strict).findings
    assert not [f for f in said if f.code.startswith("seam.")]


def test_sizes_names_and_notches(style: Pattern) -> None:
    house = rules(
        '[sizes]\nrequired = ["C", "Q"]\nallowed = ["C"]\nbase = "C"\n'
        '[names]\npiece = "[A-Z]+"\n'
        '[[notches]]\nseam = "side"\nat-least = 7\n'
        '[[notches]]\npiece = "slee*"\nnames = ["shoulder", "no such"]\n'
    )
    checked = judged(style, {}, house=house)
    told = {(f.code, f.piece, f.seam, f.size) for f in checked.findings if f.rule}
    base = "C" if style.base_size != "C" else None
    expected = {
        ("house.size-missing", None, None, "Q"),
        ("house.size-unknown", None, None, "D"),
        *({("house.base-size", None, None, None)} if base else set()),
        *{("house.name", p, None, None) for p in ("Back", "Front", "Sleeve")},
        ("house.notch-missing", None, "side", None),
        ("house.notch-missing", "Sleeve", None, "C"),
        ("house.notch-missing", "Sleeve", None, "D"),
    }
    assert expected <= told
    assert all("house.toml, line" in str(f.rule) for f in checked.findings if f.rule)


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("[tolerance]\nseem = 1\n", 3),
        ("[tolerance]\nseam = 'wide'\n", 3),
        ("[tolerance]\nseam = -1\n", 3),
        ("[names]\npiece = '['\n", 3),
        ("[[ease]]\nseam = '*'\nat-least = 2\nat-most = 1\n", 2),
        ("[[ease]]\nseam = '*'\n", 2),
        ("[[notches]]\nat-least = 1\n", 2),
        ("[sizes]\nrequired = 'M'\n", 3),
        ("units = 'furlong'\n", 2),
        ("this is not TOML\n", 2),
    ],
)
def test_bad_rules_are_refused_with_their_line(text: str, line: int) -> None:
    with pytest.raises(SeamwrightError) as error:
        rules(text)
    finding = error.value.finding
    assert (finding.file, finding.line) == ("house.toml", line)
    assert finding.code.startswith("house.") and finding.hint


@given(st.binary(max_size=200))
def test_any_bytes_end_in_rules_or_one_error(data: bytes) -> None:
    try:
        load_house(data, "x")
    except SeamwrightError as error:
        assert error.finding.message


def test_the_guide_shows_rules_that_can_be_read() -> None:
    import re

    text = find("house", topics())[0].text()
    block = re.findall(r"```toml\n(.*?)```", text, flags=re.DOTALL)[0]
    house = load_house(block, "guide")
    assert house.ease and house.notches and house.tolerances and house.required


def test_at_the_prompt_with_the_styles_own_layer(tmp_path: Path) -> None:
    runner = CliRunner()
    runner.invoke(group, ["demo", str(tmp_path / "demo")])
    file = tmp_path / "demo" / "chorus-blouse.svg"
    (tmp_path / "house.toml").write_text(HEAD + '[names]\nstyle = "[0-9]+"\n')
    (tmp_path / "demo" / "chorus-blouse.house.toml").write_text(
        HEAD + '[sizes]\nrequired = ["Z"]\n'
    )
    args = ["check", str(file), "--house", str(tmp_path / "house.toml"), "--json"]
    told = json.loads(runner.invoke(group, args).stdout)
    rules_of = {f["code"]: f["rule"] for f in told["findings"] if "rule" in f}
    assert rules_of["house.size-missing"].startswith("sizes required (chorus-blouse.house.toml")
    assert "house.toml" in rules_of["house.name"]
    batch = [*args, "--executor", "here", "--no-cache", "--manifest", str(tmp_path / "m.csv")]
    (tmp_path / "m.csv").write_text("file\ndemo/chorus-blouse.svg\n")
    batch.remove(str(file))
    whole = json.loads(runner.invoke(group, batch).stdout)
    assert {f["code"]: f["rule"] for f in whole["findings"] if "rule" in f} == rules_of
    bad = runner.invoke(group, ["check", str(file), "--house", str(tmp_path / "none.toml")])
    assert bad.exit_code != 0
