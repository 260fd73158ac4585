"""The benchmark: runs every bench program and SciPy on the same cells, prints tables, draws a picture.

Called by `./dev bench`; `--json` prints one object with all records and `ratios` instead of the tables.
"""

from __future__ import annotations

import argparse
import json
import math
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
from picture import draw
from ratios import ERRORS, best_time, cells, fractions_of_peak, ratios, records_of, solvers_of, time_at
from scipy_solvers import Equations, call_overhead, curves

PROGRAMS = ("work_precision", "arithmetic", "scaling", "steady_state", "sweep")
Record = dict[str, Any]


def main() -> int:
    """Exit code 0 only if every program found its answers right."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("programs", type=Path, help="folder of the bench programs")
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument("--out", type=Path, default=Path("out/bench"), help="folder for picture and records")
    arguments = parser.parse_args()
    records: list[Record] = []
    results = [_run_program(arguments.programs / f"bench_{name}", records) for name in PROGRAMS]
    right = all(results)
    _run_scipy(arguments.programs, records)
    skipped = [] if records_of(records, "work precision", family="SUNDIALS") else ["SUNDIALS"]
    answer = {"ratios": ratios(records), "skipped": skipped, "right": right, "records": records}
    arguments.out.mkdir(parents=True, exist_ok=True)
    (arguments.out / "bench.json").write_text(json.dumps(answer, indent=1) + "\n")
    draw(records, arguments.out / "work_precision.png")
    if arguments.json:
        print(json.dumps(answer))
    else:
        _print_tables(records, answer)
    return 0 if right else 1


def _say(text: str) -> None:
    print(text, file=sys.stderr, flush=True)


def _run_program(program: Path, records: list[Record]) -> bool:
    _say(f"{program.name} ...")
    done = subprocess.run([program], stdout=subprocess.PIPE, text=True, check=False)
    records.extend(json.loads(line) for line in done.stdout.splitlines())
    if done.returncode != 0:
        _say(f"{program.name}: an answer is WRONG")
    return done.returncode == 0


def _run_scipy(programs: Path, records: list[Record]) -> None:
    for place, reference in enumerate(records_of(records, "reference")):
        _say(f"SciPy, {reference['cell']} ...")
        start = np.array(reference["start"])
        equations = Equations(programs / "libbench_for_python.so", place, start.size)
        equations.enter(0.0)
        called, inside = call_overhead(equations, start)
        records.append({"kind": "call", "cell": reference["cell"], "from_python": called, "compiled": inside})
        records.extend(curves(equations, reference))


def _print_tables(records: list[Record], answer: Record) -> None:
    for cell in cells(records):
        _print_cell(records, cell)
    _print_equal_errors(records)
    _print_lanes(records)
    for kind in ("states", "sweep size", "steady state", "brute force", "operating points", "call"):
        print(f"\n{kind}")
        for record in records_of(records, kind):
            print(
                "  " + ", ".join(f"{key} {_short(value)}" for key, value in record.items() if key != "kind")
            )
    print("\nratios, each the worst over the cells" + "".join(f"; no {name}" for name in answer["skipped"]))
    for name, value in answer["ratios"].items():
        print(f"  {name:<28} {_short(value)}")


def _print_cell(records: list[Record], cell: str) -> None:
    states = len(records_of(records, "reference", cell=cell)[0]["start"])
    print(f"\n{cell}, {states} states")
    print(f"  {'':<34}{'asked':>9}{'error':>9}{'steps':>8}{'rejected':>9}{'ns/step':>9}{'us':>11}")
    for solver in solvers_of(records, cell=cell):
        for run in records_of(records, "work precision", cell=cell, solver=solver):
            error = _or_dash(run["error"], ".1e")
            attempts = max(run["steps"] + (run["rejections"] or 0), 1)
            print(
                f"  {solver:<34}{run['tolerance']:>9.1e}{error:>9}{run['steps']:>8.0f}"
                f"{_or_dash(run['rejections'], '.0f'):>9}{1e9 * run['seconds'] / attempts:>9.0f}"
                f"{1e6 * run['seconds']:>11.1f}"
            )


def _print_equal_errors(records: list[Record]) -> None:
    print("\nCPU time at equal error [us], and times that of the scalar solver")
    for cell in cells(records):
        for error in ERRORS:
            print(f"  {cell}, error {error:.0e}")
            scalar = time_at(records, error, cell=cell, solver="scalar")
            for solver in solvers_of(records, cell=cell):
                seconds = time_at(records, error, cell=cell, solver=solver)
                print(f"    {solver:<34}{_microseconds(seconds):>12}{_short(seconds / scalar):>10}")


def _print_lanes(records: list[Record]) -> None:
    print("\nlanes: share of slots used, operations per attempted step, share of the peak")
    fractions = fractions_of_peak(records)
    for cell in cells(records):
        lanes = records_of(records, "lanes", cell=cell, threads=1)
        occupancy = min((run["occupancy"] for run in lanes), default=math.nan)
        counts = ", ".join(
            f"{one['operations']:.0f} at {one['tolerance']:.0e} ({one['in_functions']:.0f} in exp and log, "
            f"{one['quotients']:.0f} quotients)"
            for one in records_of(records, "arithmetic", cell=cell)
        )
        print(f"  {cell:<20}{occupancy:6.3f}  {counts}  {_short(fractions.get(cell))}")
    for record in records_of(records, "peak"):
        print(f"  peak, {record['kernel']}: {1e-9 * record['operations_per_second']:.1f} GFlop/s")
    for family in ("SUNDIALS", "SciPy"):
        best = {best_time(records, cell, family, error)[1] for cell in cells(records) for error in ERRORS}
        print(f"  best of {family}: {', '.join(sorted(best - {''})) or 'none'}")


def _or_dash(value: float | None, form: str) -> str:
    return "-" if value is None else format(value, form)


def _microseconds(seconds: float) -> str:
    return f"{1e6 * seconds:.1f}" if math.isfinite(seconds) else "not reached"


def _short(value: float | str | None) -> str:
    if value is None or isinstance(value, str):
        return value or "-"
    return f"{value:.3g}" if math.isfinite(value) else "-"


if __name__ == "__main__":
    sys.exit(main())
