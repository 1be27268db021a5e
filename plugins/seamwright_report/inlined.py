"""The page's own style and script, put together from small files."""

from __future__ import annotations

import base64
import hashlib
from functools import lru_cache
from importlib.resources import files
from typing import Final

STYLES: Final = ("page.css", "drawings.css", "seams.css", "print.css")
# Each file is a part of one function; later ones use the names of earlier ones.
SCRIPTS: Final = (
    "base.js", "units.js", "lines.js", "comb.js", "pieces.js", "curve.js", "strip.js", "roll.js",
    "stage.js", "start.js",
)  # fmt: skip


@lru_cache(maxsize=1)
def style() -> str:
    """All style sheets."""
    return "".join(_read(file) for file in STYLES)


@lru_cache(maxsize=1)
def script() -> str:
    """All scripts, in one function of their own."""
    parts = "".join(_read(file) for file in SCRIPTS)
    return f'(()=>{{"use strict";\n{parts}}})();\n'


def digest(code: str) -> str:
    """What a content policy knows an inline script by."""
    return base64.b64encode(hashlib.sha256(code.encode("utf-8")).digest()).decode("ascii")


def _read(file: str) -> str:
    return files(__package__).joinpath(f"data/{file}").read_text(encoding="utf-8")
