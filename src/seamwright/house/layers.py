"""Layers of rules: the house's, the customer's, the style's. A later layer beats an earlier one."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from seamwright.findings import SeamwrightError

from .kinds import House
from .load import load_house

BESIDE = ".house.toml"
"""The style's own layer lies beside its file as NAME.house.toml, and comes last."""
_LARGEST = 1 << 20


def layered(layers: Sequence[House]) -> House:
    """One set of rules: tables key by key, lists one after the other (the last match counts)."""
    out = House()
    for layer in layers:
        out = House(
            files=(*out.files, *layer.files),
            tolerances={**out.tolerances, **layer.tolerances},
            names={**out.names, **layer.names},
            required=layer.required or out.required,
            allowed=layer.allowed or out.allowed,
            base=layer.base or out.base,
            cloth=layer.cloth or out.cloth,
            cloths=(*out.cloths, *layer.cloths),
            ease=(*out.ease, *layer.ease),
            notches=(*out.notches, *layer.notches),
        )
    return out


def house_of(files: Sequence[str | Path]) -> House | None:
    """The rules in files, in order; None without files. Raises SeamwrightError."""
    layers = [load_house(_bytes(Path(file)), Path(file).as_posix()) for file in files]
    return layered(layers) if layers else None


def style_rules(house: House | None, file: str | Path, *, stem: str) -> House | None:
    """The rules for one file: those given, and over them the style's own beside it."""
    own = Path(file).with_name(stem + BESIDE)
    if not own.is_file():
        return house
    return layered([*([] if house is None else [house]), load_house(_bytes(own), own.name)])


def _bytes(path: Path) -> bytes:
    try:
        if path.stat().st_size > _LARGEST:
            raise SeamwrightError.of(
                "house.too-large", "house rules of more than a megabyte", file=str(path),
                hint="name the file of rules, not another",
            )  # fmt: skip
        return path.read_bytes()
    except OSError as error:
        raise SeamwrightError.of(
            "house.unreadable",
            f"the house rules cannot be read: {error.strerror or error}",
            file=str(path),
            hint="name a file that is there",
        ) from None
