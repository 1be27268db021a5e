"""The real command line with the bundled plugins, in this process, in an empty folder."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest


@dataclass(frozen=True)
class Told:
    """What a command said."""

    status: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        """The one document on stdout."""
        return json.loads(self.out)

    @property
    def shapes(self) -> list[Any]:
        """Every shape of the document of `info --json`."""
        return [s for p in self.json["pieces"] for s in p["shapes"]]

    @property
    def findings(self) -> list[Any]:
        """The document's findings."""
        return list(self.json["findings"])

    def found(self, code: str) -> list[Any]:
        """Findings of one code."""
        return [f for f in self.findings if f["code"] == code]

    def one(self, code: str) -> Any:
        """The only finding of its code."""
        (finding,) = self.found(code)
        return finding


class Table:
    """A folder to work in, and `seamwright` to work with."""

    def __init__(self, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.folder = folder
        self._capsys = capsys

    def put(self, name: str, content: str | bytes) -> Path:
        """A file in the folder."""
        path = self.folder / name
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return path

    def __call__(self, *args: object) -> Told:
        from seamwright.cli.main import status_of

        self._capsys.readouterr()
        status = status_of([str(a) for a in args])
        told = self._capsys.readouterr()
        assert "Traceback" not in told.err
        return Told(status, told.out, told.err)


@pytest.fixture
def seamwright(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Table:
    """Runs `seamwright ARGS` in an empty folder."""
    monkeypatch.chdir(tmp_path)
    return Table(tmp_path, capsys)
