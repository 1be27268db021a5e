"""Fuzzing that is led by what is run: files that reach new places of the code are kept and damaged
further. Needs `pip install 'seamwright[fuzz]'`.

    nice -n 15 python tests/fuzz/guided.py svg /tmp/corpus -runs=100000 -timeout=5 -rss_limit_mb=500

All that follows the folder goes to libFuzzer. A fault ends the run and leaves its file behind.
"""

from __future__ import annotations

import random
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

import atheris

with atheris.instrument_imports(include=["seamwright"]):
    from seamwright.plugins import inputs, reading, registry  # noqa: F401

from fuzz_judge import judged
from fuzz_mutators import LONGEST, mutated
from fuzz_targets import TARGETS


def main() -> None:
    name, corpus = sys.argv[1], Path(sys.argv[2])
    target = TARGETS[name]
    corpus.mkdir(parents=True, exist_ok=True)
    for number, seed in enumerate(target.seeds()):
        (corpus / f"seed-{number}").write_bytes(seed)
    folder = Path(tempfile.mkdtemp())
    with atheris.instrument_imports(include=[f"seamwright_{name}", "seamwright"]):
        for seed in target.seeds():  # what is imported while reading is instrumented as well
            judged(lambda d: target.run(d, folder), seed)

    def one(data: bytes) -> None:
        verdict = judged(lambda d: target.run(d, folder), data)
        if verdict.fault:
            raise AssertionError(f"{verdict.code}: {verdict.detail}")

    def change(data: bytes, most: int, seed: int) -> bytes:
        chance = random.Random(seed)
        if chance.random() < 0.5:
            return bytes(atheris.Mutate(data, most))
        return mutated(chance, [data], target.words)[: min(most, LONGEST)]

    arguments = [sys.argv[0], str(corpus), *sys.argv[3:]]
    atheris.Setup(arguments, one, custom_mutator=change)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
