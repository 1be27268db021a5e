"""A working plugin package to start from: `seamwright plugins new NAME`.

The files under `common` and one of `step`, `format` and `report` are filled in; the result passes
its own tests as it stands, so that an author changes something that works.
"""

from __future__ import annotations

import keyword
import re
import sys
from importlib.resources import files
from pathlib import Path
from string import Template
from typing import Final, Literal

from seamwright import __version__
from seamwright.findings import SeamwrightError

Kind = Literal["step", "format", "report"]

HELP: Final[dict[Kind, str]] = {
    "step": "Write a text in the middle of every piece.",
    "format": "Outlines as lines of text, a point a line.",
    "report": "The findings of a run as CSV, one a line.",
}
"""What the package does until its author changes it."""

_WORK: Final[dict[Kind, str]] = {"step": "stamp", "format": "points", "report": "table"}
_NAME: Final = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")


def new_plugin(name: str, kind: Kind, folder: Path) -> list[Path]:
    """Writes the package into `folder`, which must be new or empty: the files, in order.

    Raises SeamwrightError for a name that cannot be one (of a plugin, a package, a file suffix),
    for one that Python or another package has already, and for a folder with something in it.
    """
    values = _values(name, kind)
    if folder.is_symlink() or (folder.exists() and not folder.is_dir()):
        raise _refused(f"{folder} is there and is no folder", "give another with --dir")
    if folder.is_dir() and any(folder.iterdir()):
        raise _refused(f"{folder} is not empty", "give another with --dir; nothing is overwritten")
    made = []
    for where, template in _plan(values, kind):
        text = Template(template.read_text(encoding="utf-8")).substitute(values)
        path = folder / where
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="\n")
        made.append(path)
    return made


def _values(name: str, kind: Kind) -> dict[str, str]:
    package = name.replace("-", "_")
    if _NAME.fullmatch(name) is None or len(name) > 40:
        raise _refused(
            f'"{name}" cannot be the name of a plugin',
            'use small letters, figures and single dashes, a letter first: "house-mark"',
        )
    if keyword.iskeyword(package) or package in sys.stdlib_module_names or package == "seamwright":
        raise _refused(f'"{name}" is a word of Python itself', f'try a longer one: "my-{name}"')
    return {
        "name": name,
        "package": package,
        "Class": "".join(part.capitalize() for part in name.split("-")),
        "help": HELP[kind],
        "work": _WORK[kind],
        "version": __version__,
    }


def _plan(values: dict[str, str], kind: Kind) -> list[tuple[Path, Path]]:
    """(path in the new package, template), in the order in which a reader wants them."""
    home = Path(str(files(__name__)))
    common, own = home / "common", home / kind
    source = Path("src") / values["package"]
    return [
        (Path("README.md"), common / "README.md.tmpl"),
        (Path("pyproject.toml"), common / "pyproject.toml.tmpl"),
        (source / "__init__.py", common / "__init__.py.tmpl"),
        (source / "plugin.py", own / "plugin.py.tmpl"),
        (source / "options.py", own / "options.py.tmpl"),
        (source / f"{values['work']}.py", own / f"{values['work']}.py.tmpl"),
        (source / "pages" / f"{values['name']}.md", own / "page.md.tmpl"),
        (Path("tests") / f"test_{values['package']}.py", own / "test.py.tmpl"),
    ]


def _refused(message: str, hint: str) -> SeamwrightError:
    return SeamwrightError.of("plugin.new-refused", message, hint=hint)
