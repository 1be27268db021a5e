"""Commands over the demonstration's drawings with the plugins that are installed: documents by
their schemas, the main job's figures, and the same bytes from another process."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from importlib.resources import files
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from seamwright.demo.blouse import blouse


def seamwright(folder: Path, *args: str, **env: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "seamwright", *args],
        cwd=folder, capture_output=True, text=True, check=False, env={**os.environ, **env},
    )  # fmt: skip


def document(folder: Path, *args: str) -> Any:
    done = seamwright(folder, *args, "--json")
    assert done.stderr == ""
    found = json.loads(done.stdout)
    schema = files("seamwright.cli").joinpath(f"schemas/{args[0]}.json").read_text()
    jsonschema.validate(found, json.loads(schema))
    return found


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two sizes of the demonstration blouse as SVG, with plan and pipeline."""
    import seamwright as sw

    home = tmp_path_factory.mktemp("chorus")
    data = files("seamwright.demo").joinpath("data")
    (home / "blouse.plan.toml").write_bytes(data.joinpath("chorus-blouse.plan.toml").read_bytes())
    (home / "ease.toml").write_bytes(data.joinpath("ease-sleeve.toml").read_bytes())
    sw.write(blouse(["B", "E"]), home / "blouse.svg")
    return home


def test_documents_follow_their_schemas(folder: Path) -> None:
    info = document(folder, "info", "blouse.svg")
    assert info["sizes"] == ["B", "E"] and len(info["pieces"]) == 3
    plugins = document(folder, "plugins")
    assert {p["status"] for p in plugins["plugins"]} == {"loaded"}
    converted = document(folder, "convert", "blouse.svg", "blouse.json")
    assert converted["deviation"] is not None
    assert "loss.unannounced" not in {f["code"] for f in converted["findings"]}


def test_the_main_job_brings_the_ease_to_the_target(folder: Path) -> None:
    before = document(folder, "check", "blouse.svg")
    assert {s["verdict"] for s in before["seams"] if "armhole" in s["name"]} == {"over"}
    run = document(folder, "run", "ease.toml", "blouse.svg", "--out", "out")
    assert run["summary"]["errors"] == 0
    (ease,) = (s for s in run["runs"][0]["steps"] if s["use"] == "cap_ease/ease-cap")
    kept = {k["name"]: k["moved"] for k in ease["invariants"]}
    assert kept["bicep-width"] <= 1e-9
    assert kept["bodice"] <= 1e-9
    assert {c["piece"] for c in ease["changed"]} == {"Sleeve"}
    after = document(folder, "check", "out/blouse-eased.svg")
    for seam in after["seams"]:
        if "armhole" in seam["name"]:
            assert abs(seam["ease"] - seam["at_most"]) <= 0.05
        assert seam["verdict"] == "ok"


def test_another_process_writes_the_same_bytes(folder: Path) -> None:
    outs = []
    for seed, zone in (("1", "UTC"), ("4711", "Asia/Kathmandu")):
        out = f"out-{seed}"
        done = seamwright(
            folder, "run", "ease.toml", "blouse.svg", "--out", out, PYTHONHASHSEED=seed, TZ=zone
        )
        assert done.returncode == 0, done.stderr
        outs.append({p.name: p.read_bytes() for p in (folder / out).iterdir()})
    assert set(outs[0]) == {"blouse-eased.svg", "blouse-eased.html"}
    assert outs[0] == outs[1]
