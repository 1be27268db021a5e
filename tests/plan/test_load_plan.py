"""Reading a plan: what it says, and what it is refused for, with place and remedy."""

from __future__ import annotations

import pickle

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from seamwright.findings import SeamwrightError
from seamwright.model import Ease, Run, RunPart, Seam
from seamwright.plan import DEFAULT_TOLERANCE, PiecePlan, SeamPlan, load_plan, plan_toml
from seamwright.plan.grammar import parse_mark, parse_pair, parse_part, written_mark, written_part

WHOLE = """\
# the blouse
units = "in"

[pieces.Sleeve]
corners = ["underarm-front", "wrist-front", "", "underarm-back"]
notches = ["front", "shoulder"]

[pieces."Back: yoke"]
notches = []

[[seam]]
name = "armhole"
sew  = "Sleeve: underarm-back > shoulder"
to   = ["\\"Back: yoke\\": underarm > shoulder", "Front: shoulder > n1 > underarm"]
cap  = "back"
ease = { at-least = "3/8 in", at-most = 0.625 }
meet = ["back = notch-1", "upper = \\"Back: yoke\\": notch-2"]

[[seam]]
sew = "A: a > b"
to = "B: a > b"
ease = "5 mm"

[[seam]]
sew = "A: c > d"
to = "B: c > d"
"""


def part(piece: str, *marks: str) -> RunPart:
    return RunPart(piece=piece, marks=marks)


def test_a_whole_plan() -> None:
    plan = load_plan(WHOLE, "blouse.plan.toml")
    assert plan.pieces["Sleeve"] == PiecePlan(
        corners=("underarm-front", "wrist-front", "", "underarm-back"),
        notches=("front", "shoulder"),
    )
    assert plan.pieces["Back: yoke"] == PiecePlan(notches=())
    armhole, second, third = plan.seams
    assert armhole.sew == Run(parts=(part("Sleeve", "underarm-back", "shoulder"),))
    assert armhole.to == Run(
        parts=(
            part("Back: yoke", "underarm", "shoulder"),
            part("Front", "shoulder", "n1", "underarm"),
        )
    )
    assert armhole.cap == "back"
    assert armhole.ease == Ease(at_least=9.525, at_most=15.875)
    assert armhole.meet == (("back", "notch-1"), ("upper", '"Back: yoke": notch-2'))
    # One length means that length, the default tolerance either way; nothing means no range.
    assert second.ease == Ease(at_least=5 - DEFAULT_TOLERANCE, at_most=5 + DEFAULT_TOLERANCE)
    assert third.ease is None
    assert [second.name, third.name] == ["A to B", "A to B (2)"]
    assert plan.file == "blouse.plan.toml"
    assert plan.line("seam", 0, "to", 1) == 14
    assert plan.line("pieces", "Back: yoke", "corners") == 8
    assert load_plan(WHOLE.encode("utf-8-sig")) == plan
    assert pickle.loads(pickle.dumps(plan)) == plan


def test_an_empty_plan_is_a_plan_that_says_nothing() -> None:
    assert load_plan("") == SeamPlan()
    assert not load_plan("# nothing yet\n")


SEAM = '[[seam]]\nname = "s"\nsew = "A: a > b"\nto = "B: a > b"\n'

REFUSED = [
    # (text, code, line, words of the message, words of the hint)
    ("seams = 3\n", "plan.key", 1, '"seams" is no key', 'did you mean "seam"'),
    ("[piece.A]\n", "plan.key", 1, '"piece"', 'did you mean "pieces"'),
    ("\n[pieces.A]\ncorner = []\n", "plan.key", 3, "corner", 'did you mean "corners"'),
    (SEAM + 'easing = "1 mm"\n', "plan.key", 5, "easing", 'did you mean "ease"'),
    (SEAM + 'ease = { at-last = "1 mm", at-most = 2 }\n', "plan.key", 5, "at-last", "at-least"),
    (SEAM + 'ease = { at-least = "1 mm" }\n', "plan.ease", 5, "at-most", "at-least"),
    (SEAM + "ease = { at-least = 9, at-most = 2 }\n", "plan.ease", 5, "at least 9", "smaller"),
    (SEAM + 'ease = "5 mn"\n', "plan.ease", 5, "mn", "ease = "),
    (SEAM + 'ease = ["5 mm"]\n', "plan.ease", 5, "a list, not a length", "ease = "),
    (SEAM + "ease = true\n", "plan.ease", 5, "yes or no", "ease = "),
    (SEAM + "ease = nan\n", "plan.ease", 5, "", None),
    (SEAM + "ease = inf\n", "plan.ease", 5, "", None),
    (SEAM + "ease = 1e300\n", "plan.ease", 5, "", None),
    (SEAM + 'cap = "left"\n', "plan.cap", 5, "left", "front"),
    (SEAM + 'meet = ["a > b"]\n', "plan.meet", 5, "not a pair", "="),
    (SEAM + 'meet = [\n"a = b",\n"c = "]\n', "plan.meet", 7, "lacks a name", "="),
    (SEAM + "meet = [3]\n", "plan.type", 5, "a number", None),
    (SEAM + SEAM, "plan.twice", 6, 'two seams are called "s"', "own name"),
    ('[[seam]]\nsew = "A: a > b"\n', "plan.key", 1, 'lacks "to"', "to = "),
    ('[[seam]]\nsew = "a > b"\nto = "B: a > b"\n', "plan.run", 2, "no piece", "Piece:"),
    ('[[seam]]\nsew = "A: a"\nto = "B: a > b"\n', "plan.run", 2, "two", "Piece:"),
    ('[[seam]]\nsew = "A: a >> b"\nto = "B: a > b"\n', "plan.run", 2, "lacks a name", "Piece:"),
    ('[[seam]]\nsew = "A: B: a > b"\nto = "B: a > b"\n', "plan.run", 2, "colons", "Piece:"),
    ('[[seam]]\nsew = []\nto = "B: a > b"\n', "plan.run", 2, "empty list", "Piece:"),
    (
        '[[seam]]\nsew = ["A: a > b",\n\n"A: c"]\nto = "B: a > b"\n',
        "plan.run", 4, "one mark", "Piece:",
    ),
    ('[[seam]]\nsew = 4\nto = "B: a > b"\n', "plan.type", 2, "a number", None),
    ('[[seam]]\nname = 4\nsew = "A: a > b"\nto = "B: a > b"\n', "plan.type", 2, "name", None),
    ('[pieces.A]\ncorners = ["x",\n"y", "x"]\n', "plan.twice", 3, '"x"', "own name"),
    ('[pieces.A]\ncorners = "x"\n', "plan.type", 2, "a text, not a list", None),
    ("pieces = 3\n", "plan.type", 1, "a number, not a table", None),
    ("[pieces]\nA = 3\n", "plan.type", 2, "a number, not a table", None),
    ("seam = 3\n", "plan.type", 1, "not a list", "[[seam]]"),
    ("seam = [3]\n", "plan.type", 1, "a number, not a table", None),
    ('units = "inch"\n', "plan.units", 1, "inch", "in"),
    ("units = 3\n", "plan.units", 1, "3", "mm"),
    ("seamwright = 2\n", "plan.version", 1, "version 1", "newer"),
    ("\n[pieces.A\n", "plan.syntax", 2, "not good TOML", "quotes"),
    ('a = "b\n', "plan.syntax", 1, "not good TOML", "quotes"),
    ("a = 1\na = 2\n", "plan.syntax", 2, "not good TOML", None),
]  # fmt: skip


@pytest.mark.parametrize(("text", "code", "line", "said", "hint"), REFUSED)
def test_refusals_name_place_fault_and_remedy(
    text: str, code: str, line: int, said: str, hint: str | None
) -> None:
    with pytest.raises(SeamwrightError) as caught:
        load_plan(text, "x.plan.toml")
    found = caught.value.finding
    assert (found.code, found.line, found.file) == (code, line, "x.plan.toml")
    assert said in found.message
    assert hint is None or (found.hint is not None and hint in found.hint)


def test_bytes_that_are_no_text_and_brackets_without_end() -> None:
    for data in (b"\xff\xfea\x00", b"a = '\xe9'", b"a = " + b"[" * 100_000):
        with pytest.raises(SeamwrightError) as caught:
            load_plan(data, "x")
        assert caught.value.finding.code == "plan.syntax"


@given(st.one_of(st.binary(max_size=60), st.text(max_size=60)))
@example("[[seam]]\n[seam.sew]\n")
@example("[seam]\nsew = 1")
@example("pieces.A.corners = ['a']")
def test_whatever_comes_is_read_or_refused(data: str | bytes) -> None:
    try:
        assert isinstance(load_plan(data, "x"), SeamPlan)
    except SeamwrightError as error:
        assert error.finding.file == "x"
        assert error.finding.code.startswith("plan.")


names = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=12)
awkward = st.sampled_from(["a b", " a", "a:b", 'a"b', "a\\", "a > b", "a=b", "線", "é\n", "\x00"])
name = st.one_of(st.from_regex(r"[a-z-]{1,8}", fullmatch=True), awkward, names)


@st.composite
def plans(draw: st.DrawFn) -> SeamPlan:
    def run_of() -> Run:
        parts = draw(st.lists(st.tuples(name, st.lists(name, min_size=2, max_size=4)), min_size=1,
                              max_size=3))  # fmt: skip
        return Run(parts=tuple(part(piece, *marks) for piece, marks in parts))

    def ease() -> Ease | None:
        if draw(st.booleans()):
            return None
        # Lengths under 1e-50 mm are refused as out of all proportion.
        length = st.floats(-1e4, 1e4).filter(lambda x: x == 0 or abs(x) > 1e-50)
        low, high = sorted(draw(st.lists(length, min_size=2, max_size=2)))
        return Ease(at_least=low, at_most=high)

    def marks() -> tuple[str, ...] | None:
        found = draw(st.lists(st.one_of(st.just(""), name), max_size=5,
                              unique_by=lambda n: n or object()))  # fmt: skip
        return draw(st.sampled_from([None, tuple(found)]))

    mark = st.builds(
        lambda n, piece: written_mark(n, piece=piece), name, st.one_of(st.none(), name)
    )
    seams = [
        Seam(
            name=seam,
            sew=run_of(),
            to=run_of(),
            ease=ease(),
            meet=tuple(draw(st.lists(st.tuples(mark, mark), max_size=2))),
            cap=draw(st.sampled_from([None, "front", "back"])),
        )
        for seam in draw(st.lists(name, max_size=3, unique=True))
    ]
    pieces = {
        piece: PiecePlan(corners=marks(), notches=marks())
        for piece in draw(st.lists(name, max_size=3, unique=True))
    }
    return SeamPlan(pieces=pieces, seams=tuple(seams))


@given(plans(), st.sampled_from(["mm", "cm", "in"]))
def test_writing_and_reading_are_inverse(plan: SeamPlan, units: str) -> None:
    assert load_plan(plan_toml(plan, units=units)) == plan


@given(name, st.lists(name, min_size=2, max_size=5))
def test_runs_written_and_read(piece: str, marks: list[str]) -> None:
    run = part(piece, *marks)
    assert parse_part(written_part(run)) == run


@given(name, st.one_of(st.none(), name), name)
def test_pairs_written_and_read(mark: str, piece: str | None, other: str) -> None:
    first, second = written_mark(mark, piece=piece), written_mark(other)
    assert parse_mark(first) == (piece, mark)
    assert parse_pair(f"{first} = {second}") == (first, second)


def test_lengths_are_written_as_people_write_them() -> None:
    seam = load_plan(WHOLE).seams[0]
    text = plan_toml(SeamPlan(seams=(seam,)), units="in")
    assert 'ease = { at-least = "3/8 in", at-most = "5/8 in" }' in text
    text = plan_toml(SeamPlan(seams=(seam,)), units="mm")
    assert 'ease = { at-least = "9.525 mm", at-most = "15.875 mm" }' in text
