"""Captures that cannot be read: an input error that names the line, in bounded memory."""

import random
import tracemalloc
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import gateswing as gs
from gateswing.capture.source import BLOCK_BYTES, HEAD_BYTES

COUNT = 400
TIMES = -20e-9 + 0.4e-9 * np.arange(COUNT)
VALUES = np.round(12.0 * np.sin(TIMES * 3e7), 3)
INDEX = range(COUNT)

Write = Callable[..., Path]


def rows(*columns: Any) -> bytes:
    """Lines of numbers."""
    return b"".join(
        ",".join(f"{value:.7g}" for value in row).encode() + b"\n" for row in zip(*columns, strict=True)
    )


BAD = {
    "missing": (None, "cannot be read"),
    "empty": (b"", "holds nothing"),
    "blank": (b"\n\n  \n", "holds nothing"),
    "binary": (bytes(range(256)) * 50, "holds zero bytes"),
    "text alone": (b"nothing here\nis a number\n" * 50, "no block of rows that are numbers"),
    "one row": (b"t,a\n1,2\n", "fewer than two rows of numbers"),
    "no time": (rows(VALUES), "states no sample interval"),
    "index without interval": (b"n,a\n" + rows(INDEX, VALUES), "states no sample interval"),
    "an interval of no known unit": (b"Sample Interval,1 NS\n" + rows(VALUES), "states no sample interval"),
    "an interval in volts": (b"Sample Interval,1 mV\n" + rows(VALUES), "states no sample interval"),
    "a rate of no known unit": (b"Sample Rate,1 gsamples\n" + rows(VALUES), "states no sample interval"),
    "a rate in seconds": (b"Sample Rate,1 ns\n" + rows(VALUES), "states no sample interval"),
    "a spoilt cell": (
        b"t,a\n0.1,1\n0.2,2\n0.3,3x\n0.4,4\n" + rows(1 + TIMES, VALUES),
        "line 4: '3x' is no number",
    ),
    "a cell too many": (
        b"t,a\n0.1,1\n0.2,2\n0.3,3,7\n0.4,4\n" + rows(1.0 + 1e3 * TIMES, VALUES),
        "line 4: 3 cells where the other rows have 2",
    ),
    "a cell too few": (
        b"t,a\n0.1,1\n0.2,2\n0.3\n0.4,4\n" + rows(1.0 + 1e3 * TIMES, VALUES),
        "line 4: 1 cells where the other rows have 2",
    ),
    "time without a value": (
        b"t,a\n" + rows(TIMES, VALUES) + b"nan,1\n",
        "row 401 of the numbers has no time",
    ),
    "time that stands": (b"t,a\n" + b"1.5,2\n" * 30, "the time stands still"),
    "numbers too large": (b"t,a\n" + b"1e999,1e999\n" * 30, "row 1 of the numbers has no time"),
    "a long line of text": (b"x" * (HEAD_BYTES + 10), "too long for a row of numbers"),
    "a long line in the middle": (
        b"t,a\n" + rows(TIMES, VALUES) * 40 + b"1" * (BLOCK_BYTES + HEAD_BYTES) + b"\n",
        "line 16002: longer than",
    ),
    "decimal signs of both kinds": (
        b"0.079\n0,7\n0.1\n0,2\n0.3\n",
        "line 2: 2 cells where the other rows have 1",
    ),
    "deep quotes": (b'"' * 5000 + b"\n" + b'"1,2\n' * 20, "states no sample interval"),
}


@pytest.mark.parametrize(("content", "words"), BAD.values(), ids=BAD.keys())
def test_what_cannot_be_read_is_an_input_error_that_names_the_line(
    content: bytes | None, words: str, write: Write, tmp_path: Path
) -> None:
    path = tmp_path / "nowhere.csv" if content is None else write(content)
    with pytest.raises(gs.InputError, match=words) as caught:
        gs.read_capture(path)
    assert path.name in str(caught.value)


@pytest.mark.parametrize(
    "options",
    [{"decimal": ";"}, {"delimiter": ";;"}, {"first_line": 0}, {"time_unit": "V"}, {"time_column": "z"},
     {"time_column": 9}, {"names": ["a"]}, {"units": "ab"}, {"sample_interval": "0 s"},
     {"encoding": "utf-99"}],
)  # fmt: skip
def test_a_wrong_option_is_an_input_error(options: dict[str, Any], write: Write) -> None:
    with pytest.raises(gs.InputError):
        gs.read_capture(write(b"t,a\n" + rows(TIMES, VALUES)), **options)


def test_a_capture_larger_than_a_block_is_read_whole_and_in_bounded_memory(write: Write) -> None:
    count = 3 * BLOCK_BYTES // 20
    text = "Time (s),a (V)\n" + "".join(f"{k * 1e-9:.7e},{k % 7:d}\n" for k in range(count))
    path = write(text.encode())
    size = len(text)
    assert size > 2 * BLOCK_BYTES
    tracemalloc.start()
    capture = gs.read_capture(path)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert len(capture.times) == count
    assert np.array_equal(capture.values["a"], np.arange(count) % 7)
    assert peak < 12 * BLOCK_BYTES
    with pytest.raises(gs.InputError, match="more than 1000 samples"):
        gs.read_capture(path, most_samples=1000)


def test_a_quoted_cell_beyond_any_use_is_left_out_and_said(write: Write) -> None:
    capture = gs.read_capture(write(b"t,a\n" + rows(TIMES, VALUES) + b'"' + b"1" * 200_000 + b'"\n'))
    assert len(capture.times) == COUNT
    assert any(note.endswith("left out: 402.") for note in capture.report.notes)


def test_spoilt_files_are_read_or_refused_but_never_anything_else(write: Write) -> None:
    """Bytes of a good file are overwritten, cut out or doubled; fixed seed."""
    good = b"Model,x\nSample Interval,4e-10\n\nTime (s),CH1 (V),CH2 (V)\n" + rows(TIMES, VALUES, VALUES)
    pieces = [
        b",",
        b";",
        b"\n",
        b"\r",
        b'"',
        b"#",
        b"nan",
        b"1e308",
        b"-",
        b"\0",
        b"\xff\xfe",
        b"\t",
        b" ",
        b"9" * 400,
    ]
    rng = random.Random(20261125)
    outcomes = set()
    for case in range(150):
        content = bytearray(good)
        for _ in range(rng.choice([1, 2, 5, 60])):
            at = rng.randrange(len(content))
            length = rng.choice([0, 1, 3, 40, 2000])
            content[at : at + length] = rng.choice([*pieces, bytes(content[at : at + 50]), rng.randbytes(5)])
        path = write(bytes(content))
        try:
            capture = gs.read_capture(path)
            assert np.isfinite(capture.times).all(), (case, bytes(content[:200]))
            lengths = {len(one) for one in capture.values.values()} | {len(capture.times)}
            assert len(lengths) == 1, case
            outcomes.add("read")
        except gs.InputError:
            outcomes.add("refused")
    assert outcomes == {"read", "refused"}
