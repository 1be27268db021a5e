"""`seamwright info FILE...`: what is in a file."""

from __future__ import annotations

from typing import Any

import click

from seamwright.findings import Finding, SeamwrightError
from seamwright.plugins.context import Limits
from seamwright.units import format_length

from .common import (
    as_findings,
    judging_options,
    limit_option,
    number,
    output_options,
    print_json,
    status,
    the_registry,
)
from .flags import FormatCommand, given
from .inputs import Opened, file_argument, open_all
from .printable import printable
from .progress import track
from .say import say
from .tables import Table, show


@click.command(name="info", cls=FormatCommand)
@file_argument
@click.option("--plan", metavar="PLAN", help="Seam plan, for the names of corners and notches.")
@click.option("--format", "format_name", metavar="NAME", help="Format, where bytes do not tell.")
@click.option("--edges", is_flag=True, help="List every edge, not only the pieces.")
@output_options
@judging_options
@limit_option
@click.pass_context
def command(
    ctx: click.Context,
    files: tuple[str, ...],
    plan: str | None,
    format_name: str | None,
    edges: bool,
    as_json: bool,
    units: Any,
    fail_on: str,
    strict_plugins: bool,
    limits: Limits,
) -> int:
    """What is in a file: pieces, sizes, edges and their lengths, notches, what was not
    understood."""
    registry, notes = the_registry(strict_plugins)
    opened = open_all(
        files,
        options=given(ctx, "reader"),
        registry=registry,
        units=units,
        limits=limits,
        format=format_name,
        plan=plan,
        plan_needed=False,
    )
    found: list[Opened] = []
    failed = False
    try:
        found += track(opened, len(files), "reading")
    except SeamwrightError as error:
        notes += as_findings(error)
        failed = True
    all_findings = [*notes, *(f for one in found for f in one.findings)]
    if as_json:
        print_json(_document(found, notes))
    else:
        say(notes)
        for one in found:
            if one.pattern is not None:
                _show(one, units, edges)
            say(one.findings)
    failed = failed or any(one.pattern is None for one in found)
    return status(all_findings, fail_on, failed=failed, previews=registry.previews)


def _document(found: list[Opened], notes: list[Finding]) -> dict[str, Any]:
    documents = [_one(one) for one in found] or [_one(None)]
    if len(documents) == 1:
        documents[0]["findings"] += [f.to_json() for f in notes]
        return documents[0]
    named = [{"file": one.name, **doc} for one, doc in zip(found, documents, strict=True)]
    return {"files": named, "findings": [f.to_json() for f in notes]}


def _one(one: Opened | None) -> dict[str, Any]:
    from .documents import info_document  # noqa: PLC0415 - numpy comes with it

    if one is not None and one.pattern is not None:
        facts = None if one.loaded is None else one.loaded.facts
        return info_document(one.pattern, one.findings, facts)
    return {
        "pattern": None,
        "base_size": None,
        "sizes": [],
        "pieces": [],
        "seams": [],
        "facts": {},
        "findings": [f.to_json() for f in one.findings] if one is not None else [],
    }


def _show(one: Opened, units: str, edges: bool) -> None:
    document = _one(one)
    sizes = ", ".join(
        f"{size} (base)" if size == document["base_size"] and len(document["sizes"]) > 1 else size
        for size in document["sizes"]
    )
    pieces = number(len(document["pieces"]), "piece")
    line = ", ".join(s for s in (f"{one.name}: {document['pattern']}", pieces, sizes) if s)
    click.echo(printable(line))
    if one.plan:
        click.echo(f"seam plan: {one.plan}, {number(len(document['seams']), 'seam')}")
    if document["pieces"]:
        show(_edge_table(document, units) if edges else _piece_table(document, units))
    click.echo()


def _piece_table(document: dict[str, Any], units: str) -> Table:
    table = Table(
        ["piece", "size", ">cut", ">outline", ">width", ">height", ">edges", ">notches", "grain",
         ">inside", ">texts"]
    )  # fmt: skip
    for piece in document["pieces"]:
        for shape in piece["shapes"]:
            x0, y0, x1, y1 = shape["bbox"]
            table.add(
                piece["name"],
                shape["size"],
                piece["quantity"],
                format_length(shape["seam_line_length"], units, rough=True),
                format_length(x1 - x0, units, rough=True),
                format_length(y1 - y0, units, rough=True),
                len(shape["edges"]),
                len(shape["notches"]),
                "yes" if shape["grain_line"] else "",
                shape["internal_lines"] + shape["drill_holes"],
                len(shape["texts"]),
            )
    return table


def _edge_table(document: dict[str, Any], units: str) -> Table:
    table = Table(["piece", "size", "edge", ">length", "notches along it"])
    for piece in document["pieces"]:
        for shape in piece["shapes"]:
            for edge in shape["edges"]:
                on = [n for n in shape["notches"] if n["edge"] == edge["name"]]
                table.add(
                    piece["name"],
                    shape["size"],
                    edge["name"],
                    format_length(edge["length"], units),
                    ", ".join(f"{n['name']} at {format_length(n['at'], units)}" for n in on),
                )
    return table
