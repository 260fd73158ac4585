"""What the fuzzers of `tests/fuzz` ask, without them: on the inputs of their findings, and on drawn ones."""

import random
from pathlib import Path

import pytest

from targets import TARGETS, examples

SEEDS = sorted((Path(__file__).parents[1] / "fuzz" / "seeds").iterdir())
DRAWN = 150


def test_there_are_seeds() -> None:
    assert SEEDS


@pytest.mark.parametrize("seed", SEEDS, ids=lambda seed: seed.name)
def test_a_finding_stays_mended(seed: Path) -> None:
    TARGETS[seed.name.partition("-")[0]](seed.read_bytes())


def test_changed_examples_are_read_or_refused() -> None:
    rng = random.Random(20261126)
    for case in range(DRAWN):
        data = rng.randbytes(1 + 2 * rng.choice([1, 1, 2, 8]))
        try:
            TARGETS["edits"](data)
        except Exception as error:
            raise AssertionError(f"case {case}: {data!r}") from error


def test_spoilt_examples_are_read_or_refused() -> None:
    rng = random.Random(20261127)
    every = sorted(examples())
    for case in range(DRAWN):
        content = bytearray(rng.choice(every).read_bytes())
        for _ in range(rng.choice([1, 3, 20])):
            at, length = rng.randrange(len(content)), rng.choice([0, 1, 3, 40])
            content[at : at + length] = rng.choice([b'"', b"[", b"]", b"=", b"\n", b".", b"9" * 30, rng.randbytes(3)])
        for name in ("design", "part", "sheet"):
            try:
                TARGETS[name](bytes(content))
            except Exception as error:
                raise AssertionError(f"case {case} as {name}: {bytes(content)!r}") from error
