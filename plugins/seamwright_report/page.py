"""The page put together: one file, its own script, nothing fetched."""

from __future__ import annotations

from seamwright.paper import CAUTIONS, how_to
from seamwright.plugins.api import Context, Part, Record, WriteResult

from .cap import caps_of
from .capshow import cap_pictures, fold_tables
from .chart import size_charts
from .facts import Facts, facts_of
from .finding_list import finding_list
from .folds import folds_of
from .inlined import digest, script, style
from .markup import Markup, Told, clean, el, join, name
from .options import HtmlOptions
from .packing import Book
from .page_data import data_block
from .pictures import hatchings, pictures
from .say import PageSay
from .seam_list import seam_list
from .seam_map import seam_map
from .seam_tables import length_table, notch_notes, seam_table
from .steps import step_list
from .story import Story, story_of
from .tally import tally
from .timeline import timeline_of
from .walking import seam_walks, walks_json

# Nothing may be loaded. Styles stand in the page; of scripts only the page's own may run, told by
# its hash.
POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-{}'; base-uri 'none'; "
    "form-action 'none'"
)
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
    text = page(record, options, PageSay(ctx.units))
    return WriteResult(parts=(Part(data=text.encode("utf-8")),))


def page(record: Record, options: HtmlOptions, say: PageSay) -> str:
    """The page's text."""
    facts = facts_of(record)
    folds = folds_of(record)
    caps = caps_of(record.before), caps_of(record.after)
    if not caps[0] and caps[1]:
        caps = caps_of(record.before.but(seams=record.after.seams)), caps[1]
    timeline = timeline_of(record, facts.sizes)
    walks = seam_walks(facts, timeline)
    title = options.title or facts.style
    cautions = CAUTIONS if caps[1] else ANY_PIECE
    close = cap_pictures(facts, folds, caps, say)
    sections: list[Markup] = [
        _verdict(story_of(facts, folds, caps, say), cautions, tally(facts, record))
    ]
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
                el("div", close, class_="plates") if options.pictures else None,
                _on_paper(folds.manner),
                el("ul", [el("li", text) for text in cautions], class_="alone-only"),
                alone=f"{clean(title)}: where to fold",
            )
        )
    if facts.seams:
        sections.append(
            _section("seams", "Every seam in every size", seam_table(facts, say),
                     notch_notes(facts, say), length_table(facts))
        )  # fmt: skip
        sections.append(_section("walk", "Seam by seam", seam_list(walks, facts, say)))
        charts = size_charts(facts, say)
        if charts is not None:
            sections.append(_section("ease", "Ease in every size", charts))
    if options.pictures and facts.pieces:
        where = seam_map(walks, facts, timeline)
        if where is not None:
            sections.append(_section("map", "What is sewn to what", where))
        shown = pictures(facts, timeline, [] if folds else close)
        sections.append(_section("pieces", "The pieces", shown))
    if record.steps:
        drawn = timeline if options.pictures else None
        sections.append(_section("steps", "What each step did", step_list(facts, say, drawn)))
    found = finding_list(record, say, options.most_findings)
    sections.append(_section("findings", "Findings", found))
    sections.append(_section("record", "Record", _record(record)))
    book = Book()
    data = data_block(
        {
            "unit": say.unit,
            "sizes": [clean(size) for size in facts.sizes],
            "base": facts.base,
            "last": timeline.last,
            "pieces": timeline.to_json(book),
            "seams": walks_json(walks, timeline),
            "lines": book.columns,
        }
    )
    return _document(title, facts, sections, data, say)


def _section(id_: str, title: str, *content: object, alone: str = "") -> Markup:
    """alone: heading under which the section can be shown and printed by itself; an empty element
    that it is told by (`#fold-alone`) stands at the page's top, where style rules reach from."""
    if not alone:
        return el("section", el("h2", title), content, id=id_)
    return el(
        "section",
        el("div", el("h2", title),
           el("a", "Print this sheet alone", href=f"#{id_}-alone", class_="button print"),
           class_="head"),
        el("div", el("h2", alone),
           el("a", "Back to the whole page", href=f"#{id_}", class_="button"),
           class_="head only"),
        content,
        id=id_,
        class_="can-be-alone",
    )  # fmt: skip


def _verdict(story: Story, cautions: tuple[str, ...], counts: Markup) -> Markup:
    answers = [el("div", el("dt", q), el("dd", Told(a))) for q, a in story.answers]
    if story.left:
        left = el("ul", [el("li", Told(text)) for text in story.left])
        answers.append(el("div", el("dt", "What is left to look at"), el("dd", left)))
    listed = [el("li", text) for text in (*cautions, SCALE_CAUTION)]
    return el(
        "section",
        el("h2", story.headline, class_="headline"),
        counts,
        el("dl", answers) if answers else None,
        el("div", el("h3", "Before you cut"), el("ul", listed), class_="caution"),
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
        el("tr", el("th", name(file), scope="row"), el("td", el("code", sum_), class_="digest"))
        for file, sum_ in record.inputs.items()
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


def _document(title: str, facts: Facts, sections: list[Markup], data: Markup, say: PageSay) -> str:
    many = len(facts.sizes) > 1
    switches: list[Markup] = []
    if many:
        # Plain radio buttons and style rules: tables change their size without any script.
        switches = [
            el("input", type="radio", name="size", id=f"s{z}", class_="switch", value=z,
               checked=z == facts.base, aria_label=f"size {clean(size)}")
            for z, size in enumerate(facts.sizes)
        ]  # fmt: skip
    labels = [el("label", name(size), for_=f"s{z}") for z, size in enumerate(facts.sizes)]
    units = [
        el("label", el("input", type="radio", name="unit", value=u, checked=u == say.unit),
           el("span", u))
        for u in ("mm", "cm", "in")
    ]  # fmt: skip
    bar = el(
        "nav",
        el("div", el("span", "Size", class_="soft"), labels, class_="choice sizes")
        if many else None,
        el("div", el("span", "Lengths in", class_="soft"), units, class_="choice units",
           role="radiogroup", aria_label="Lengths in"),
        el("label", el("input", type="checkbox", id="combs"), el("span", "Curvature combs"),
           class_="choice comb-switch"),
        class_="bar" if many else "bar of-script",
        aria_label="What is shown",
    )  # fmt: skip
    sizes = f"{len(facts.sizes)} sizes" if many else "one size"
    count = len(facts.pieces)
    summary = f"{count} {'piece' if count == 1 else 'pieces'} in {sizes}"
    if facts.seams:
        summary += f", {len(facts.seams)} {'seam' if len(facts.seams) == 1 else 'seams'}"
    code = script()
    head = el(
        "head",
        el("meta", charset="utf-8"),
        el("meta", http_equiv="Content-Security-Policy", content=POLICY.format(digest(code))),
        el("meta", name="viewport", content="width=device-width, initial-scale=1"),
        el("meta", name="referrer", content="no-referrer"),
        el("meta", name="color-scheme", content="light dark"),
        el("title", f"{clean(title)}: seams and ease"),
        Markup(f"<style>{style()}{_size_rules(len(facts.sizes))}</style>"),
    )
    body = el(
        "body",
        hatchings(),
        el("i", id="fold-alone"),
        switches,
        el("header", el("p", "Seams and ease", class_="kicker"), el("h1", name(title)),
           el("p", summary, class_="soft")),
        bar,
        el("main", sections),
        el("footer", el("p", "Written by Seamwright. Nothing on this page is loaded from "
                             "elsewhere, and nothing is sent. Messages of findings keep the unit "
                             "in which they were written.")),
        data,
        Markup(f"<script>{code}</script>"),
    )  # fmt: skip
    return "<!doctype html>\n" + el("html", head, body, lang="en") + "\n"


def _size_rules(count: int) -> str:
    """For each size: hide what belongs to other sizes, and mark its button."""
    if count < 2:
        return ""
    return join(
        Markup(
            f"#s{z}:checked~main .z:not(.z{z}){{display:none}}"
            f"#s{z}:checked~nav label[for=s{z}]{{background:var(--ink);color:var(--paper);"
            "border-color:var(--ink)}"
            f"#s{z}:focus-visible~nav label[for=s{z}]{{outline:3px solid var(--after);"
            "outline-offset:2px}"
            f"#s{z}:checked~main :is(.row{z},.col{z}){{background-color:var(--pick)}}"
        )
        for z in range(count)
    )
