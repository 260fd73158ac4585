"""A sample of what `./dev soak` runs, and that it survives and keeps what it finds."""

import os
import time
from itertools import islice
from pathlib import Path

import pytest

import gateswing as gs
import questions
import soak

LIMIT = 60.0


@pytest.mark.parametrize("question", questions.QUESTIONS)
@pytest.mark.parametrize("case", [1, 3])
def test_a_drawn_design_is_answered(case: int, question: str) -> None:
    assert questions.ask(question, questions.drawn_design(case))


def crash(_: gs.Design) -> str:
    os._exit(3)


def stand(_: gs.Design) -> str:
    time.sleep(1000.0)
    return "late"


def go_round(_: gs.Design) -> str:
    while True:
        pass


def fail(_: gs.Design) -> str:
    raise questions.UnsoundAnswerError("no number")


@pytest.mark.parametrize(
    ("fault", "words", "limit"),
    [
        (crash, "Crashed: exit code 3", LIMIT),
        (stand, "Stands still for 1 s", 0.1),
        (go_round, "No answer within 0.5 s of a processor", 0.5),
        (fail, "no number", LIMIT),
    ],
)
def test_a_fault_becomes_a_design_file_and_the_next_case_is_run(
    fault: object, words: str, limit: float, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(questions, "QUESTIONS", {"faulty": fault, "good": lambda _: "success"})
    cases = iter([(5, "faulty"), (6, "good")])
    faulty, good = soak.run(cases, seconds=LIMIT, workers=1, limit=limit)
    assert words in faulty.failure
    assert good == soak.Outcome(6, "good", "success")
    path = soak.write_failure(faulty, tmp_path)
    text = path.read_text(encoding="utf-8")
    assert text.startswith("# gs.faulty, ./dev soak --case 5 --question faulty\n")
    assert words in text
    assert gs.read_design(path) == questions.drawn_design(5)


def test_the_same_number_is_the_same_design() -> None:
    assert questions.drawn_design(7) == questions.drawn_design(7) != questions.drawn_design(8)


def test_cases_ask_every_question_of_each_design() -> None:
    first = list(islice(soak.cases(4, list(questions.QUESTIONS)), len(questions.QUESTIONS) + 1))
    assert [case for case, _ in first] == [4] * len(questions.QUESTIONS) + [5]


def test_one_question_may_be_asked_alone() -> None:
    assert list(islice(soak.cases(4, ["double_pulse"]), 2)) == [(4, "double_pulse"), (5, "double_pulse")]


def test_a_number_of_designs_is_an_end() -> None:
    asked = list(soak.cases(4, ["double_pulse", "check"], designs=2))
    assert asked == [(4, "double_pulse"), (4, "check"), (5, "double_pulse"), (5, "check")]
