"""The page put together: one file, no script, nothing fetched."""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import files

from seamwright.paper import CAUTIONS, how_to
from seamwright.plugins.api import Context, Part, Record, WriteResult

from .cap import caps_of
from .capshow import cap_pictures, fold_tables
from .chart import size_charts, stretch_charts
from .facts import Facts, facts_of
from .finding_list import finding_list
from .folds import folds_of
from .markup import Markup, clean, el, join, name
from .options import HtmlOptions
from .pictures import pictures
from .say import Say
from .seam_tables import length_table, notch_notes, seam_table
from .steps import step_list
from .story import Story, story_of

# Nothing may be loaded or run; styles stand in the page. There is no script at all.
POLICY = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"
ANY_PIECE = (
    "Test-cut in cheap cloth before you cut the good one.",
    "What the body needs is for the fitter to decide, not for the paper.",
)
SCALE_CAUTION = (
    "After printing, measure the check square with a ruler before you cut: a scale that is 1 % off "
    "makes a girth of 1 m (39 3/8 in) wrong by 1 cm (3/8 in)."
)


def write_page(record: Record, options: HtmlOptions, ctx: Context) -> WriteResult:
    """The record as one HTML file."""
    text = page(record, options, Say(ctx.units))
    return WriteResult(parts=(Part(data=text.encode("utf-8")),))


def page(record: Record, options: HtmlOptions, say: Say) -> str:
    """The page's text."""
    facts = facts_of(record)
    folds = folds_of(record)
    caps = caps_of(record.before), caps_of(record.after)
    if not caps[0] and caps[1]:
        caps = caps_of(record.before.but(seams=record.after.seams)), caps[1]
    title = options.title or facts.style
    cautions = CAUTIONS if caps[1] else ANY_PIECE
    sections: list[Markup] = [_verdict(story_of(facts, folds, caps, say), cautions)]
    if folds:
        sections.append(
            _section(
                "fold",
                "Where to fold",
                el(
                    "p",
                    "Along the seam line, counted down the cap from the shoulder point to the "
                    "middle of each tuck; widths at the edge.",
                ),
                fold_tables(facts, folds, caps, say),
                _on_paper(folds.manner),
            )
        )
    if options.pictures and facts.pieces:
        sections.append(
            _section(
                "pieces",
                "The pieces",
                pictures(facts, cap_pictures(facts, folds, caps, say)),
            )
        )
    if facts.seams:
        sections.append(_section("ease", "Ease in every size", size_charts(facts, say)))
        along = stretch_charts(facts, say)
        if along is not None:
            sections.append(_section("along", "Where the ease lies", along))
        sections.append(
            _section(
                "seams",
                "Every seam, worst first",
                seam_table(facts, say),
                notch_notes(facts, say),
                length_table(facts),
            )
        )
    if record.steps:
        sections.append(_section("steps", "What each step did", step_list(facts, say)))
    found = finding_list(record, say, options.most_findings)
    sections.append(_section("findings", "Findings", found))
    sections.append(_section("record", "Record", _record(record)))
    return _document(title, facts, sections, say)


def _section(id_: str, title: str, *content: object) -> Markup:
    return el("section", el("h2", title), content, id=id_)


def _verdict(story: Story, cautions: tuple[str, ...]) -> Markup:
    answers = [el("div", el("dt", q), el("dd", a)) for q, a in story.answers]
    if story.left:
        left = el("ul", [el("li", text) for text in story.left])
        answers.append(el("div", el("dt", "What is left to look at"), el("dd", left)))
    listed = [el("li", text) for text in (*cautions, SCALE_CAUTION)]
    return el(
        "section",
        el("p", story.headline, class_="headline"),
        el("dl", answers) if answers else None,
        el("div", el("h2", "Before you cut"), el("ul", listed), class_="caution"),
        class_=f"verdict {story.mood}",
        id="verdict",
    )


def _on_paper(manner: str) -> Markup:
    steps = how_to("slash" if manner == "slash" else "tuck")
    return el(
        "details",
        el("summary", "On paper, step by step"),
        el("ol", [el("li", text) for text in steps]),
    )


def _record(record: Record) -> Markup:
    inputs = [
        el("tr", el("th", name(file), scope="row"), el("td", el("code", digest), class_="digest"))
        for file, digest in record.inputs.items()
    ]
    versions = [
        el("tr", el("th", what, scope="row"), el("td", version))
        for what, version in sorted(record.versions.items())
    ]
    parts: list[object] = []
    if inputs:
        parts += [el("h3", "Read (SHA-256)"), _table(inputs)]
    if versions:
        parts += [el("h3", "Made by"), _table(versions)]
    return el("div", parts) if parts else el("p", "The record names no input and no version.")


def _table(rows: list[Markup]) -> Markup:
    return el("div", el("table", el("tbody", rows), class_="small"), class_="wide")


def _document(title: str, facts: Facts, sections: list[Markup], say: Say) -> str:
    many = len(facts.sizes) > 1
    switches: list[Markup] = []
    bar: Markup | None = None
    if many:
        # Plain radio buttons and style rules: the size changes without any script.
        switches = [
            el("input", type="radio", name="size", id=f"s{z}", class_="switch",
               checked=z == facts.base, aria_label=f"size {size}")
            for z, size in enumerate(facts.sizes)
        ]  # fmt: skip
        labels = [el("label", name(size), for_=f"s{z}") for z, size in enumerate(facts.sizes)]
        bar = el("nav", el("span", "Size shown", class_="soft"), labels, class_="sizes")
    sizes = f"{len(facts.sizes)} sizes" if many else "one size"
    count = len(facts.pieces)
    summary = f"{count} {'piece' if count == 1 else 'pieces'} in {sizes}"
    if facts.seams:
        summary += f", {len(facts.seams)} {'seam' if len(facts.seams) == 1 else 'seams'}"
    head = el(
        "head",
        el("meta", charset="utf-8"),
        el("meta", http_equiv="Content-Security-Policy", content=POLICY),
        el("meta", name="viewport", content="width=device-width, initial-scale=1"),
        el("meta", name="referrer", content="no-referrer"),
        el("title", f"{clean(title)}: seams and ease"),
        Markup(f"<style>{_style()}{_size_rules(len(facts.sizes))}</style>"),
    )
    body = el(
        "body",
        switches,
        el("header", el("p", "Seams and ease", class_="kicker"), el("h1", name(title)),
           el("p", summary, class_="soft")),
        bar,
        el("main", sections),
        el("footer", el("p", "Written by Seamwright. Nothing on this page is loaded from "
                             "elsewhere, and nothing is sent.")),
    )  # fmt: skip
    return "<!doctype html>\n" + el("html", head, body, lang="en") + "\n"


@lru_cache(maxsize=1)
def _style() -> str:
    return files(__package__).joinpath("data/page.css").read_text(encoding="utf-8")


def _size_rules(count: int) -> str:
    """For each size: hide what belongs to other sizes, and mark its button."""
    if count < 2:
        return ""
    return join(
        Markup(
            f"#s{z}:checked~main .z:not(.z{z}){{display:none}}"
            f"#s{z}:checked~nav label[for=s{z}]{{background:var(--ink);color:#fff;"
            "border-color:var(--ink)}"
            f"#s{z}:focus-visible~nav label[for=s{z}]{{outline:3px solid var(--after)}}"
            f"#s{z}:checked~main .row{z}{{background:var(--pick)}}"
        )
        for z in range(count)
    )
