"""Looking names up: exactly, or else without regard to case, spaces and dashes."""

from __future__ import annotations

from collections.abc import Iterable


def look_up(name: str, valid: Iterable[str]) -> tuple[str | None, bool]:
    """The valid name that is meant, and whether it is written exactly so.

    (None, False) when there is none, or when several differ from `name` in the same small way.
    """
    names = list(dict.fromkeys(valid))
    if name in names:
        return name, True
    wanted = _plain(name)
    near = [other for other in names if _plain(other) == wanted]
    return (near[0], False) if len(near) == 1 and wanted else (None, False)


def _plain(name: str) -> str:
    return "".join(c for c in name.casefold() if not c.isspace() and c not in "-_")
