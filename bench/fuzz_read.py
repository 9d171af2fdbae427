"""Coverage-guided fuzzing of the reader; needs atheris in an environment of its own.

    pip install atheris
    python bench/fuzz_read.py -max_total_time=600 -max_len=2000 CORPUS_FOLDER

The folder is filled with the seeds of the tests first. Anything but a reading whose counts add up or a
refusal in one line, and a difference between the reader of one log and that of many, stops the run and leaves
the input behind.
"""

from __future__ import annotations

import sys
from pathlib import Path

import atheris

TESTS = Path(__file__).resolve().parents[1] / "tests"
sys.path.insert(0, str(TESTS))

with atheris.instrument_imports(include=["thermlog"]):
    from readcases import SEEDS, told_twice


def one_input(content: bytes) -> None:
    told_twice(content)


def main() -> None:
    folders = [Path(word) for word in sys.argv[1:] if not word.startswith("-")]
    for folder in folders[:1]:
        folder.mkdir(parents=True, exist_ok=True)
        for number, seed in enumerate(SEEDS):
            (folder / f"seed{number}.csv").write_bytes(seed.encode())
    atheris.Setup(sys.argv, one_input)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
