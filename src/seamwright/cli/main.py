"""The program `seamwright`. Only click and light modules here: --version and --help must always
work, and fast."""

from __future__ import annotations

import os
import sys
from typing import Final

import click

from seamwright import __version__
from seamwright.findings import SeamwrightError

from .lazy import LazyGroup

COMMANDS: Final = {
    "demo": ("seamwright.cli.demo", "Write a style to try things on, and run the main job on it."),
    "info": ("seamwright.cli.info", "What is in a file: pieces, sizes, edges, lengths, notches."),
    "convert": ("seamwright.cli.convert", "Any format to any other, with the loss stated."),
    "check": ("seamwright.cli.check", "Walk every seam in every size."),
    "plan": ("seamwright.cli.plan", "Propose a seam plan, with a labelled picture."),
    "run": ("seamwright.cli.run", "Run a pipeline over one file or many."),
    "pipelines": ("seamwright.cli.pipelines", "Pipelines that ship, by name, and what is in them."),
    "ease": ("seamwright.cli.ease", "Paper and tape only: lengths by hand in, where to fold out."),
    "plugins": ("seamwright.cli.plugins", "Formats, steps and reports that are installed."),
    "help": ("seamwright.cli.help", "Pages about formats, steps, reports, the trade's words."),
}
"""Command -> module with `command` in it, and the line of help (so that help imports nothing)."""

_EPILOG = """\b
Exit status: 0 nothing found at or above --fail-on, 1 something found, 2 could not do its work.
SEAMWRIGHT_PLUGINS=a,b loads those plugins only (empty: none).
SEAMWRIGHT_DEBUG=1 shows the traceback of an error."""


@click.group(
    cls=LazyGroup,
    table=COMMANDS,
    epilog=_EPILOG,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(__version__, prog_name="seamwright", message="%(prog)s %(version)s")
def group() -> None:
    """Sewing patterns that go together: read, walk, alter, true, check again, write.

    `seamwright COMMAND --help` tells more of each command.
    """


def main(args: list[str] | None = None) -> None:
    """Runs the program and leaves it with its exit status."""
    sys.exit(status_of(args))


def status_of(args: list[str] | None = None) -> int:
    """Runs the program: its exit status."""
    try:
        result = group.main(args=args, prog_name="seamwright", standalone_mode=False)
        return result if isinstance(result, int) else 0
    except click.exceptions.Exit as stop:
        return stop.exit_code
    except click.ClickException as error:
        error.show()
        return 2
    except (click.Abort, KeyboardInterrupt):
        click.echo("stopped", err=True)
        return 130
    except SeamwrightError as error:
        from .say import say_error  # noqa: PLC0415 - only errors need it

        if _debugging():
            raise
        say_error(error)
        return 2
    except BrokenPipeError:
        # The reader of our output has gone; say nothing, and keep Python from saying it.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except Exception as error:
        if _debugging():
            raise
        click.echo(
            f"seamwright: a fault of the program itself: {type(error).__name__}: {error}\n"
            "  please report it; SEAMWRIGHT_DEBUG=1 shows the traceback",
            err=True,
        )
        return 2


def _debugging() -> bool:
    return os.environ.get("SEAMWRIGHT_DEBUG", "") not in ("", "0")


if __name__ == "__main__":
    main()
