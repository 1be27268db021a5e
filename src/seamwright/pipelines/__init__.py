"""Pipelines that ship: each a file with a comment that a sewer understands.

`seamwright run NAME FILE` runs one by its name where there is no file of that name; copy one and
change its figures to make your own.
"""

from __future__ import annotations

from importlib.resources import files

_SUFFIX = ".toml"


def shipped() -> dict[str, str]:
    """Name -> what it does, in one line (the first comment of its file)."""
    return {name: text_of(name).splitlines()[0].lstrip("# ") for name in _names()}


def text_of(name: str) -> str:
    """The TOML text of a shipped pipeline. Raises KeyError."""
    if name not in _names():
        raise KeyError(name)
    return files(__name__).joinpath(name + _SUFFIX).read_text(encoding="utf-8")


def _names() -> list[str]:
    folder = files(__name__)
    return sorted(
        entry.name.removesuffix(_SUFFIX)
        for entry in folder.iterdir()
        if entry.name.endswith(_SUFFIX)
    )
