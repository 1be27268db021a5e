"""The rules of the house name every plugin; a package that nobody listed would follow none."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]


def test_every_plugin_package_stands_in_the_import_rules() -> None:
    config: dict[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text())
    packages = {p.parent.name for p in (ROOT / "plugins").glob("*/plugin.py")}
    assert packages
    rules = config["tool"]["importlinter"]
    assert packages <= set(rules["root_packages"])
    for contract in rules["contracts"]:
        lists = {key: set(names) for key, names in contract.items() if isinstance(names, list)}
        named = [names for names in lists.values() if any("seamwright_" in n for n in names)]
        assert all(packages <= names for names in named), contract["name"]


def test_every_plugin_package_is_in_the_wheel_and_registered() -> None:
    config: dict[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text())
    packages = {p.parent.name for p in (ROOT / "plugins").glob("*/plugin.py")}
    points = config["project"]["entry-points"]["seamwright.plugins"]
    wheel = config["tool"]["hatch"]["build"]["targets"]["wheel"]["packages"]
    for package in packages:
        assert f"{package}.plugin" in points.values()
        assert f"plugins/{package}" in wheel
