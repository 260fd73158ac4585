"""Files that nobody writes: refused as input errors, in a process that may take little time and memory."""

import json
import os
import re
import resource
import subprocess
import sys
from pathlib import Path

import pytest

import gateswing as gs

KINDS = ("design", "part", "sheet")
SECONDS = 60  # of one processor for all; most of it is what a quadratic reader would take for one file
BYTES = 3 << 30  # of address space, which is mostly reserved by libraries and never used

# Reads each file as its name says, and prints what the errors say.
CHILD = """
import json, sys
from pathlib import Path
import gateswing as gs

readers = {"design": gs.read_design, "part": gs.PartFile.read, "sheet": gs.read_sheet, "csv": gs.read_capture}
told = {}
for path in sorted(Path(sys.argv[1]).iterdir()):
    try:
        told[path.name] = "read as " + type(readers[path.suffix[1:]](path)).__name__
    except gs.InputError as error:
        told[path.name] = str(error)
print(json.dumps(told))
"""

HEAD = b"schema = 1\n"
ROWS = b"".join(b"%d.5,2\n" % k for k in range(2, 9))

DESCRIPTIONS = {
    "deep arrays": (HEAD + b"a=" + b"[" * 100_000, "nested deeper"),
    "deep tables": (HEAD + b"a=" + b"{a=" * 20_000, "nested deeper"),
    "deep key": (HEAD + b"a." * 100_000 + b"a=1", "nested deeper"),
    "deep quoted key": (HEAD + b'"a b" . ' * 100_000 + b"a=1", "nested deeper"),
    "deep heading": (HEAD + b"[" + b"a." * 100_000 + b"a]", "nested deeper"),
    "deep by keys": (HEAD + b"a." * 10 + b"a={" + b"a." * 10 + b"a=1}", "nested deeper"),
    "many keys": (HEAD + b"".join(b"k%d=1\n" % k for k in range(5000)), "more problems"),
    "many tables": (HEAD + b"[[cell]]\n" * 5000, "cell"),
    "digits": (HEAD + b"title=" + b"9" * 5000, "not TOML"),
    "hex digits": (HEAD + b"title=0x" + b"f" * 50_000, "thousands of digits"),
    "large": (HEAD + b"#" * (2 << 20), "larger than"),
    "zero byte": (HEAD + b'title="\0"', "not TOML"),
    "no text": (b"\xff\xfe" * 100, "not text in UTF-8"),
}
CAPTURES = {
    "digits": (b"t,a\n0.5,2\n1.5,2\n2," + b"9" * 250_000 + b"x\n" + ROWS, "line 4: '9+' is no number"),
    "blanks in a name": (b"t (s),a" + b" " * 250_000 + b"x\n" + ROWS, "read as"),
    "brackets": (b"(" * 250_000 + b",1\nt (s),a\n" + ROWS, "has no time"),
    "digits in a setting": (b"dt," + b"9" * 250_000 + b"s\na\n1\n2\n3\n", "steps of inf s make none"),
    "columns": ((b"1," * 30_000 + b"1\n") * 4, "columns of numbers, more than"),
    "blank lines": (b"\n" * 130_000 + b"t (s),a\n" + ROWS * 60_000, "read as"),
    "an infinite step": (b"dt,1e999\na (V),b\n1,1\n2,4\n4,5\n", "steps of inf s make none"),
    "a huge step": (b"dt,1e300\na (V),b\n1,1\n2,4\n4,5\n", "steps of 1e.300 s make none"),
}
# A gigabyte of which only the first megabytes are there: what reads on would find zeros, or take the memory.
SPARSE = {
    "line.csv": (b"t,a\n" + ROWS + b"1" * (8 << 20), "longer than"),
    "line.design": (HEAD, "larger than"),
}


def limits() -> None:
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    resource.setrlimit(resource.RLIMIT_AS, (BYTES, BYTES))


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """What the reader said of each file, by its name."""
    folder = tmp_path_factory.mktemp("hostile")
    for name, (content, _) in DESCRIPTIONS.items():
        for kind in KINDS:
            (folder / f"{name}.{kind}").write_bytes(content)
    for name, (content, _) in CAPTURES.items():
        (folder / f"{name}.csv").write_bytes(content)
    for name, (content, _) in SPARSE.items():
        with (folder / name).open("wb") as file:
            file.write(content)
            file.truncate(1 << 30)
    child = subprocess.run(
        [sys.executable, "-W", "error::RuntimeWarning", "-c", CHILD, str(folder)],
        env=os.environ | {"OPENBLAS_NUM_THREADS": "1"},
        preexec_fn=limits,
        capture_output=True,
        text=True,
        check=False,
    )
    for name in SPARSE:
        (folder / name).unlink()
    assert child.returncode == 0, child.stderr
    found: dict[str, str] = json.loads(child.stdout)
    return found


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", DESCRIPTIONS)
def test_a_description_that_nobody_writes_is_refused(name: str, kind: str, told: dict[str, str]) -> None:
    said = told[f"{name}.{kind}"]
    assert not said.startswith("read as")
    assert len(said) < 20_000
    if kind == "design":
        assert re.search(DESCRIPTIONS[name][1], said)


@pytest.mark.parametrize("name", [*CAPTURES, *SPARSE])
def test_a_capture_that_nobody_exports_has_an_end(name: str, told: dict[str, str]) -> None:
    words = CAPTURES[name][1] if name in CAPTURES else SPARSE[name][1]
    said = told[f"{name}.csv" if name in CAPTURES else name]
    assert re.search(words, said), said[:500]


def test_a_codec_that_unpacks_is_no_encoding(tmp_path: Path) -> None:
    import zlib

    path = tmp_path / "bomb.csv"
    path.write_bytes(zlib.compress(b"1,2\n" * 1_000_000))
    with pytest.raises(gs.InputError, match="no text in the encoding 'zlib'"):
        gs.read_capture(path, encoding="zlib")


@pytest.mark.parametrize("text", ["/V" * 50_000, "1" * 100_000, "4k" * 3000, " " * 100_000 + "V"])
def test_a_text_too_long_for_a_number_is_none(text: str) -> None:
    with pytest.raises(gs.InputError, match="not a voltage"):
        gs.Supply(voltage=text)


def test_an_integer_beyond_all_floats_is_no_number() -> None:
    with pytest.raises(gs.InputError, match="thousands of digits: not a finite number"):
        gs.Supply(voltage=10**5000)
