"""Commands run in this process with toy plugins, their output taken apart."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest


@dataclass
class Said:
    """What a command said."""

    status: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        """The one document on stdout."""
        return json.loads(self.out)

    @property
    def codes(self) -> list[str]:
        """Codes of the document's findings."""
        return [f["code"] for f in self.json["findings"]]


@pytest.fixture
def seamwright(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, toys: Any, tmp_path: Path
) -> Callable[..., Said]:
    """Runs `seamwright ARGS` in an empty folder with the toy plugins (or the registry given)."""
    from seamwright.cli.main import status_of
    from seamwright.plugins import registry as registries

    monkeypatch.chdir(tmp_path)

    def run(*args: object, registry: Any = None) -> Said:
        with monkeypatch.context() as patch:
            made = registry or toys.full_registry()
            patch.setattr(registries, "default", lambda: made)
            status = status_of([str(a) for a in args])
        told = capsys.readouterr()
        return Said(status, told.out, told.err)

    return run
