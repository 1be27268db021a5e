"""`seamwright demo [DIR]`: a style to try things on, with the main job done on it."""

from __future__ import annotations

from pathlib import Path

import click

from .common import UNITS, print_json, the_registry


@click.command(name="demo")
@click.argument("folder", metavar="[DIR]", default="seamwright-demo", required=False)
@click.option("--overwrite", is_flag=True, help="Replace files in DIR that are not as written.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")
@click.option(
    "--units", type=UNITS, default="in", show_default=True, help="Unit of what is printed."
)
def command(folder: str, overwrite: bool, as_json: bool, units: str) -> int:
    """Write a blouse for a theatre's whole chorus into DIR and run the main job on it.

    The wardrobe room sews one blouse in seven sizes, in a firm cotton, and the sleeve goes in
    badly. DIR gets a tidy drawing of it in all sizes, one of one size, and one made by hand in a
    general drawing program; their seam plans; the pipeline; the altered pieces; and a report to
    open in a browser. All data is invented.
    """
    from .demo_run import make_demo, make_folder, put_demo  # noqa: PLC0415 - numpy from here on
    from .demo_words import document, summary  # noqa: PLC0415

    registry, _ = the_registry()
    make_folder(Path(folder))
    made = make_demo(registry=registry, units=units)
    put_demo(made, Path(folder), overwrite=overwrite)
    if as_json:
        print_json(document(made, Path(folder)))
    else:
        click.echo("\n".join(summary(made, Path(folder))))
    return 0
