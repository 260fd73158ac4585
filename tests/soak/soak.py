"""Runs drawn designs for a given time; `./dev soak [SECONDS]`. Each failure becomes a design file.

Every case runs in a process of a pool, which is replaced where it crashes, takes more processor time than the
limit, or stands still for ten times as long by the clock. A failure is written as CASE-QUESTION.toml with
what happened on top; ``--case N`` asks about that design again.
"""

from __future__ import annotations

import argparse
import itertools
import multiprocessing
import signal
import sys
import time
import traceback
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from multiprocessing.connection import Connection, wait
from multiprocessing.process import BaseProcess
from pathlib import Path

from questions import QUESTIONS, ask, drawn_design

__all__ = ["Outcome", "cases", "run", "write_failure"]

_LIMIT = 120.0  # [s] of a processor for a case; a typical one takes a tenth of a second
_BUSY = 10.0  # times as long by the clock, on a machine that has other things to do


@dataclass(frozen=True)
class Outcome:
    """What became of a case: the status of the answer, or a failure in words."""

    case: int
    question: str
    status: str
    failure: str = ""


class _Worker:
    """A process that answers one case after the other."""

    def __init__(self) -> None:
        self.pipe, other = multiprocessing.Pipe()
        self.process: BaseProcess = multiprocessing.Process(target=_work, args=(other,), daemon=True)
        self.process.start()
        other.close()
        self.case: tuple[int, str] = (0, "")
        self.deadline = 0.0

    def give(self, case: tuple[int, str], limit: float) -> None:
        self.case, self.deadline = case, time.monotonic() + _BUSY * limit
        self.pipe.send((*case, limit))

    def end(self) -> None:
        self.process.kill()
        self.process.join()
        self.pipe.close()


def _work(pipe: Connection) -> None:
    while True:
        case, question, limit = pipe.recv()
        signal.setitimer(signal.ITIMER_PROF, limit)  # its signal ends the process
        pipe.send(_outcome(case, question))


def _outcome(case: int, question: str) -> Outcome:
    try:
        return Outcome(case, question, ask(question, drawn_design(case)))
    except Exception:  # noqa: BLE001 - whatever it is, it is a finding
        return Outcome(case, question, "failure", traceback.format_exc())


def run(cases: Iterator[tuple[int, str]], seconds: float, workers: int, limit: float) -> Iterator[Outcome]:
    """Outcomes as they come, until the time is up or the cases are; a case in hand is still finished."""
    end = time.monotonic() + seconds
    idle, busy = [_Worker() for _ in range(workers)], {}
    while True:
        while idle and time.monotonic() < end and (case := next(cases, None)) is not None:
            worker = idle.pop()
            worker.give(case, limit)
            busy[worker.pipe] = worker
        if not busy:
            break
        ready = wait(list(busy), timeout=1.0)
        for pipe, worker in list(busy.items()):
            if pipe in ready:
                outcome = _received(worker, limit)
            elif time.monotonic() > worker.deadline:
                outcome = Outcome(*worker.case, "failure", f"Stands still for {_BUSY * limit:g} s.\n")
                worker.end()
            else:
                continue
            del busy[pipe]
            idle.append(worker if worker.process.is_alive() else _Worker())
            yield outcome
    for worker in idle:
        worker.end()


def _received(worker: _Worker, limit: float) -> Outcome:
    try:
        return worker.pipe.recv()  # type: ignore[no-any-return]
    except EOFError:
        worker.end()
        code = worker.process.exitcode
        late = code == -signal.SIGPROF
        reason = f"No answer within {limit:g} s of a processor" if late else f"Crashed: exit code {code}"
        return Outcome(*worker.case, "failure", f"{reason}.\n")


def write_failure(outcome: Outcome, folder: Path) -> Path:
    """The design of a failure, with what was asked and what happened as comments."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{outcome.case}-{outcome.question}.toml"
    drawn_design(outcome.case).write(path)
    again = f"./dev soak --case {outcome.case} --question {outcome.question}"
    told = [f"gs.{outcome.question}, {again}", *outcome.failure.splitlines()]
    comments = "".join(f"# {line}".rstrip() + "\n" for line in told)
    path.write_text(comments + path.read_text(encoding="utf-8"), encoding="utf-8")
    return path


def cases(first: int, questions: Sequence[str], designs: int | None = None) -> Iterator[tuple[int, str]]:
    """Each question about each design from the first on, without an end where `designs` is None."""
    for case in itertools.islice(itertools.count(first), designs):
        yield from ((case, question) for question in questions)


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="./dev soak", description=__doc__)
    parser.add_argument("seconds", nargs="?", type=float, default=600.0)
    parser.add_argument("--first", type=int, default=0, help="number of the first design")
    parser.add_argument("--designs", type=int, help="end after so many, if the time is not up")
    parser.add_argument("--case", type=int, help="this design alone")
    parser.add_argument(
        "--question",
        dest="questions",
        action="append",
        choices=list(QUESTIONS),
        help="ask this alone; may be repeated",
    )
    parser.add_argument("--workers", type=int, default=multiprocessing.cpu_count())
    parser.add_argument("--limit", type=float, default=_LIMIT, help="seconds of a processor for a case")
    parser.add_argument("--folder", type=Path, default=Path("out/soak"), help="for designs that fail")
    return parser.parse_args()


def main() -> int:
    """Run, and print how often each question ended in which status."""
    asked = _arguments()
    questions = asked.questions or list(QUESTIONS)
    alone = asked.case is not None
    first, designs = (asked.case, 1) if alone else (asked.first, asked.designs)
    every = cases(first, questions, designs)
    begin, failures = time.monotonic(), 0
    tally: Counter[tuple[str, str]] = Counter()
    for outcome in run(every, asked.seconds, asked.workers, asked.limit):
        tally[outcome.question, outcome.status] += 1
        if outcome.failure:
            failures += 1
            print(f"{write_failure(outcome, asked.folder)}: {outcome.failure.splitlines()[-1]}", flush=True)
    hours = (time.monotonic() - begin) / 3600
    for (question, status), count in sorted(tally.items()):
        print(f"{question:20}{status:24}{count:8}")
    print(f"{tally.total()} answers, {tally.total() / hours:.0f} an hour, {failures} failures")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
