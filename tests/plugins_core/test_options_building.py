"""Options from TOML, flags and Python: one builder, one manner of saying what is wrong."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from typing import Annotated, Any, Literal

import jsonschema
import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwright.findings import SeamwrightError
from seamwright.plugins.api import (
    Angle,
    Length,
    Options,
    angle,
    choice,
    flag,
    length,
    number,
    text,
)
from seamwright.plugins.building import Where, as_mapping, build, from_python, revalidated
from seamwright.plugins.option_table import option_rows, option_table, options_schema
from seamwright.plugins.toml_lines import line_at, lines_of


class Place(Options, frozen=True):
    along: Annotated[Length, length("How far along.", at_least=0)]
    side: Annotated[Literal["front", "back"], choice("Which side.")] = "front"


class Fold(Options, frozen=True):
    cloth: Annotated[str | None, text("Cloth by name.")] = None
    target: Annotated[
        dict[str, Length] | None, length("Ease to leave, a side.", at_least=0, at_most=30)
    ] = None
    largest_tuck: Annotated[Length, length("Widest tuck.", at_least=0.5, at_most=8)] = Length(4.8)
    turn: Annotated[Angle, angle("Turn.", at_least=-90, at_most=90)] = Angle(0)
    manner: Annotated[Literal["tuck", "slash"], choice("How.")] = "tuck"
    count: Annotated[int, number("How many.", at_least=1, at_most=9)] = 2
    share: Annotated[float, number("Share.", at_least=0, at_most=1)] = 0.5
    marks: Annotated[list[str], text("Marks.")] = msgspec.field(default_factory=list)
    depths: Annotated[tuple[Length, ...], length("Depths.", at_most=100)] = ()
    shift: Annotated[tuple[Length, Length], length("Shift.")] = (Length(0), Length(0))
    stop: Annotated[Length | Literal["auto"], length("Where to stop.", at_most=50)] = "auto"
    place: Annotated[Place | None, text("Where.")] = None
    force: Annotated[bool, flag("Do it all the same.")] = False

    def check(self) -> Iterable[str]:
        if self.cloth and self.target:
            yield "give a cloth or a target, not both"


def refused(mapping: dict[str, Any], **how: Any) -> SeamwrightError:
    with pytest.raises(SeamwrightError) as caught:
        build(Fold, mapping, **how)
    return caught.value


def test_lengths_and_angles_with_their_units() -> None:
    options = build(
        Fold,
        {
            "target": {"back": "1/2 in", "front": "3/8 in"},
            "largest-tuck": "3/16 in",
            "turn": "15°",
            "depths": ["1 cm", 2],
            "shift": ["-3.5 mm", 0],
            "stop": "auto",
            "place": {"along": "2 1/4 in", "side": "back"},
        },
        units="cm",
    )
    assert options.target == {"back": 12.7, "front": 9.525}
    assert options.largest_tuck == 4.7625
    assert options.turn == Angle(15)
    assert list(options.depths) == [Length(10), Length(20)]
    assert list(options.shift) == [-3.5, 0]
    assert options.stop == "auto"
    assert options.place == Place(along=Length(57.15), side="back")
    assert isinstance(options.depths[0], Length)
    assert build(Fold, {"stop": "12 mm"}).stop == Length(12)
    assert build(Fold, {}) == Fold()


def test_a_bare_number_counts_in_the_users_units_and_a_length_does_not() -> None:
    assert build(Fold, {"largest-tuck": 0.25}, units="in").largest_tuck == 6.35
    assert build(Fold, {"largest-tuck": Length(6.35)}, units="in").largest_tuck == 6.35


@pytest.mark.parametrize(
    ("mapping", "code", "says", "hint"),
    [
        ({"larges-tuck": 3}, "option.unknown", "larges-tuck", '"largest-tuck"'),
        ({"largest_tuck": 3}, "option.unknown", "largest_tuck", '"largest-tuck"'),
        ({"largest-tuck": "12 mm"}, "option.bounds", "is 12 mm", "from 0.5 mm to 8 mm"),
        ({"largest-tuck": -5}, "option.bounds", "is -5 mm", "from 0.5 mm to 8 mm"),
        ({"largest-tuck": "5mn"}, "option.value", "did you mean mm", ""),
        ({"largest-tuck": True}, "option.value", "is true; expected a length", "give it"),
        ({"largest-tuck": float("nan")}, "option.value", "finite", ""),
        ({"target": {"back": "40 mm"}}, "option.bounds", "target.back", "to 30 mm"),
        ({"target": {"back": "40 mn"}}, "option.value", "target.back", ""),
        ({"target": "1 in"}, "option.value", "expected a table", ""),
        ({"turn": 100}, "option.bounds", "100 degrees", "from -90 degrees"),
        ({"manner": "tuc"}, "option.value", '"tuc"', 'did you mean "tuck"?'),
        ({"count": 2.5}, "option.value", "a whole number", ""),
        ({"count": 10}, "option.bounds", "is 10", "from 1 to 9"),
        ({"count": "3"}, "option.value", "a whole number", ""),
        ({"share": float("inf")}, "option.value", "a number", ""),
        ({"marks": "shoulder"}, "option.value", "expected a list", '["shoulder"]'),
        ({"marks": ["a", 3]}, "option.value", "marks, value 2", ""),
        ({"depths": [1, 200]}, "option.bounds", "depths, value 2", "at most 100 mm"),
        ({"shift": [1]}, "option.value", "has 1 values, 2 are needed", ""),
        ({"stop": "auot"}, "option.value", '"auot"', 'did you mean "auto"?'),
        ({"stop": "60 mm"}, "option.bounds", "is 60 mm", "at most 50 mm"),
        ({"force": "yes"}, "option.value", "true or false", ""),
        ({"place": {"side": "front"}}, "option.missing", "along", ""),
        ({"place": {"along": 1, "sid": "front"}}, "option.unknown", "sid", "side"),
        ({"cloth": "x", "target": {"back": 1}}, "option.together", "not both", ""),
    ],
)
def test_what_cannot_be_is_refused_with_a_remedy(
    mapping: dict[str, Any], code: str, says: str, hint: str
) -> None:
    error = refused(mapping, where="step 2 (fold)")
    assert error.finding.code == code
    assert says in error.finding.message
    assert error.finding.message.startswith("step 2 (fold): ")
    assert hint in (error.finding.hint or "")


def test_bounds_are_told_in_the_users_units() -> None:
    error = refused({"largest-tuck": "1/2 in"}, units="in")
    assert "is 1/2 in" in error.finding.message
    assert "to 5/16 in" in (error.finding.hint or "")


def test_all_faults_are_told_at_once() -> None:
    error = refused({"larges-tuck": 3, "turn": 100, "count": 0})
    assert [f.code for f in (error.finding, *error.others)] == [
        "option.unknown", "option.bounds", "option.bounds",
    ]  # fmt: skip


def test_what_the_command_line_says_is_text() -> None:
    options = build(
        Fold,
        {
            "target": "back=1/2 in; front=3/8 in", "count": "3", "share": "0,25",
            "marks": "a, b", "force": "yes", "shift": "-3.5mm,0", "stop": None,
            "largest-tuck": "5",
        },
        words=True,
    )  # fmt: skip
    assert options.target == {"back": 12.7, "front": 9.525}
    assert (options.count, options.share, options.marks) == (3, 0.25, ["a", "b"])
    assert options.force is True
    assert list(options.shift) == [-3.5, 0]
    assert options.stop == "auto"


def test_instances_made_directly_are_checked_too() -> None:
    with pytest.raises(SeamwrightError, match="is -5 mm"):
        revalidated(Fold(largest_tuck=Length(-5)))
    with pytest.raises(SeamwrightError, match="not both"):
        revalidated(Fold(cloth="x", target={"back": Length(1)}))
    assert revalidated(Fold(place=Place(along=Length(3)))) == Fold(place=Place(along=Length(3)))


lengths = st.floats(0.5, 8).map(Length)


@given(
    lengths,
    st.floats(-90, 90).map(Angle),
    st.lists(st.floats(-1e4, 100).map(Length)).map(tuple),
    st.dictionaries(st.text(max_size=5), st.floats(0, 30).map(Length)) | st.none(),
    st.floats(0, 1),
)
def test_options_as_plain_values_build_again_the_same(
    tuck: Length, turn: Angle, depths: tuple[Length, ...], target: Any, share: float
) -> None:
    options = Fold(largest_tuck=tuck, turn=turn, depths=depths, target=target, share=share)
    plain = as_mapping(options)
    assert msgspec.json.decode(msgspec.json.encode(plain)) == plain
    assert build(Fold, plain, units="in") == options


def test_python_names() -> None:
    assert from_python({"largest_tuck": 3, "except_": 1}) == {"largest-tuck": 3, "except": 1}


def test_the_table_and_the_schema_say_what_the_class_says() -> None:
    table = option_table(Fold, units="in")
    assert "| `largest-tuck` | a length from 0.5 mm to 5/16 in | 3/16 in | Widest tuck. |" in table
    assert [row.name for row in option_rows(Fold)] == list(options_schema(Fold)["properties"])
    assert option_table(Options) == "There are no options.\n"
    schema = options_schema(Fold)
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate({"largest-tuck": "3 mm", "place": {"along": 3}}, schema)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({"larges-tuck": 3}, schema)


TOML = '''
# a pipeline
seamwright = 1
note = """
[[step]]
use = "not this"
"""

[[step]]
use = "walk"

[[step]]   # the second
use = "fold"
target = { back = "1 in", front = "#2" }

"largest-tuck" = "12 mm"
place.along = 3
[step.other]
x = [
  1,
  2,
]
y = 'a = 1'
'''


def test_lines_of_keys() -> None:
    lines = lines_of(TOML)
    assert tomllib.loads(TOML)["step"][1]["largest-tuck"] == "12 mm"
    wanted = {
        ("seamwright",): 3, ("note",): 4, ("step", 0): 9, ("step", 0, "use"): 10,
        ("step", 1): 12, ("step", 1, "use"): 13, ("step", 1, "target"): 14,
        ("step", 1, "largest-tuck"): 16, ("step", 1, "place"): 17,
        ("step", 1, "place", "along"): 17, ("step", 1, "other"): 18,
        ("step", 1, "other", "x"): 19, ("step", 1, "other", "y"): 23,
    }  # fmt: skip
    assert lines == wanted
    assert line_at(lines, ("step", 1, "target", "front")) == 14
    assert line_at(lines, ("nowhere",)) is None


@given(st.text(alphabet="[]{}=\"'\n#a.1 \\", max_size=60))
def test_any_text_has_lines_without_an_error(text: str) -> None:
    assert all(1 <= line <= text.count("\n") + 1 for line in lines_of(text).values())


def test_an_error_in_toml_names_the_line() -> None:
    steps = tomllib.loads(TOML)["step"]
    mapping = {k: v for k, v in steps[1].items() if k in ("largest-tuck",)}
    where = Where(what="step 2", file="a.toml", lines=lines_of(TOML), prefix=("step", 1))
    error = refused(mapping, where=where)
    assert (error.finding.line, error.finding.file) == (16, "a.toml")
