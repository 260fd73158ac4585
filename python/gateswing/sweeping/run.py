"""The loop that hands chunks of points to an executor, takes their answers, and survives its workers."""

from __future__ import annotations

import signal
import threading
from collections import deque
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import (
    BrokenExecutor,
    CancelledError,
    Executor,
    Future,
    ThreadPoolExecutor,
    wait,
)
from contextlib import contextmanager
from queue import Empty, SimpleQueue
from types import FrameType

import numpy as np

from .. import _core
from ..errors import InputError, InputProblem
from ..threads import thread_count
from .chunk import NOT_RUN, ChunkAnswer, Deliver, Outcome, portable, run_chunk
from .kinds import AnyPoint, kind_of

__all__ = ["LOST", "Crew", "compute", "crew_of"]

# Status of a point whose worker died, which the core does not know.
LOST = "lost"
# Points of a chunk that keep the lanes of a thread busy nearly to its end, and beyond which there is no gain.
_FULL, _MOST_POINTS = 64, 512
# Work per chunk of an executor [s]: much longer than handing it over, short enough to lose. Where points are
# slow, as many as fill lanes, in no more than the longer time.
_CHUNK_TIME, _LONGEST_CHUNK = 0.25, 4.0
_LANES = 32
# A sweep has at least so many chunks, if it has the points, so that no worker waits long for the last one.
_LEAST_CHUNKS = 16
# In flight until the first answer says how long a point takes, and from then on.
_FIRST_CHUNKS, _MOST_CHUNKS = 32, 1024
_PATIENCE = 0.05  # [s] between two looks at Ctrl-C and progress

Keep = Callable[[Mapping[int, Outcome]], None]
Submit = Callable[[Sequence[AnyPoint], float, Deliver], "Future[ChunkAnswer]"]
# Points of the next chunk, from the number waiting, the number of all, and the time for one [s] or 0.
ChunkSize = Callable[[int, int, float], int]


class Crew:
    """Those who compute: how to give them a chunk, and how to stop them."""

    def __init__(self, submit: Submit, chunk_size: ChunkSize, stop: threading.Event | None) -> None:
        self.submit = submit
        self.chunk_size = chunk_size
        self._stop = stop

    def stop(self, pending: Sequence[Future[ChunkAnswer]]) -> None:
        """Take back what has not begun; threads of our own end within a step and hand in what they have."""
        for future in pending:
            future.cancel()
        if self._stop is not None:
            self._stop.set()
            wait(pending)


@contextmanager
def crew_of(executor: Executor | None, threads: int | None) -> Iterator[Crew]:
    """The given executor, or threads of our own.

    Raises:
        InputError: both are given, or the number is out of range.
    """
    if executor is not None:
        if threads is not None:
            problem = InputProblem("threads", repr(threads), "excludes executor.", hint="Give one of them.")
            raise InputError([problem])
        yield Crew(
            lambda points, tolerance, _: executor.submit(run_chunk, portable(points), tolerance),
            _by_time,
            None,
        )
        return
    stop = threading.Event()

    def submit(points: Sequence[AnyPoint], tolerance: float, deliver: Deliver) -> Future[ChunkAnswer]:
        def deliver_and_go_on(finished: Mapping[int, Outcome]) -> None:
            if stop.is_set():
                raise CancelledError
            deliver(finished)

        return pool.submit(run_chunk, points, tolerance, deliver_and_go_on)

    count = thread_count(threads)
    with ThreadPoolExecutor(count, "gateswing") as pool:
        yield Crew(submit, lambda waiting, points, _: _share(waiting, points, count), stop)


def _share(waiting: int, points: int, threads: int) -> int:
    """For threads, which deliver each point when it is finished: half of what is left, shared out."""
    half = min(waiting // (2 * threads), _MOST_POINTS)
    return min(max(_FULL, half), -(-points // threads))


def _by_time(_waiting: int, points: int, point_time: float) -> int:
    """For others, whose answer comes at the end of a chunk and may be lost with them."""
    if point_time == 0.0:
        return 1
    fitting = max(_CHUNK_TIME / point_time, min(_LANES, _LONGEST_CHUNK / point_time))
    return max(1, min(int(fitting), _MOST_POINTS, points // _LEAST_CHUNKS))


def compute(
    points: Mapping[int, AnyPoint],
    crew: Crew,
    relative_tolerance: float,
    keep: Keep,
    report: Callable[[], None],
) -> BaseException | None:
    """Compute points by number and give each outcome to `keep` once, as soon as it is there.

    A chunk whose worker died is handed out again in halves, so that one point that kills its worker costs no
    other. A point that died alone, or that no one is left to take, is kept as lost with the reason.

    Returns:
        What ended the work early, or ``None``: Ctrl-C, what `keep`, `report` or a signal handler raised, or
        an error of the executor that is no worker's death. What had been finished has been kept.
    """
    work = _Work(points, crew, relative_tolerance, keep)
    try:
        with _interrupt_when_asked() as look:
            while work.go_on():
                report()
                look()
            report()
    except BaseException as error:  # noqa: BLE001 # it is handed to the caller, who keeps the finished points first
        return work.end(error)
    return None


@contextmanager
def _interrupt_when_asked() -> Iterator[Callable[[], None]]:
    """Have Ctrl-C raised by the function given and nowhere else.

    In the midst of a lock or a transaction it would do harm, and a collection of garbage would swallow it. A
    second press is raised at once. A handler of the caller's own stays.
    """
    in_main = threading.current_thread() is threading.main_thread()
    if not in_main or signal.getsignal(signal.SIGINT) is not signal.default_int_handler:
        yield lambda: None
        return
    pressed: list[int] = []

    def press(number: int, frame: FrameType | None) -> None:
        if pressed:
            signal.default_int_handler(number, frame)
        pressed.append(number)

    def look() -> None:
        if pressed:
            raise KeyboardInterrupt

    signal.signal(signal.SIGINT, press)
    try:
        yield look
    finally:
        signal.signal(signal.SIGINT, signal.default_int_handler)


class _Work:
    """What is waiting, what is in flight, and how long a point takes."""

    def __init__(
        self, points: Mapping[int, AnyPoint], crew: Crew, relative_tolerance: float, keep: Keep
    ) -> None:
        self._points, self._crew, self._tolerance, self._keep = points, crew, relative_tolerance, keep
        self._waiting = deque(points)
        self._again: deque[list[int]] = deque()
        self._flying: dict[Future[ChunkAnswer], list[int]] = {}
        # Chunks, and before each of them such of its points as were delivered earlier.
        self._back: SimpleQueue[Future[ChunkAnswer] | dict[int, Outcome]] = SimpleQueue()
        self._delivered: set[int] = set()  # of the chunks in flight
        self._point_time = 0.0

    def go_on(self) -> bool:
        """Hand out, wait a moment, take answers; false once nothing is left."""
        self._hand_out()
        landed = self._landed()
        self._take_early([item for item in landed if isinstance(item, dict)])
        self._take([item for item in landed if not isinstance(item, dict)])
        return bool(self._waiting or self._again or self._flying)

    def _landed(self) -> list[Future[ChunkAnswer] | dict[int, Outcome]]:
        """What has come back, after a short wait for the first.

        From a queue: concurrent.futures.wait takes the lock of every future, and Ctrl-C in the midst of that
        would leave some of them locked.
        """
        landed: list[Future[ChunkAnswer] | dict[int, Outcome]] = []
        try:
            if self._flying:
                landed.append(self._back.get(timeout=_PATIENCE))
            while True:
                landed.append(self._back.get_nowait())
        except Empty:
            return landed

    def end(self, error: BaseException) -> BaseException:
        """Stop the crew and keep what is finished; an error of keeping takes the place of Ctrl-C."""
        self._crew.stop(list(self._flying))
        finished = {
            number: outcome
            for future, numbers in self._flying.items()
            if future.done() and not future.cancelled() and future.exception() is None
            for number, outcome in zip(numbers, future.result().outcomes, strict=True)
            if outcome.status != NOT_RUN and number not in self._delivered
        }
        try:
            self._keep(finished)
        except Exception as second:  # noqa: BLE001 # handed to the caller like the first
            return second if isinstance(error, KeyboardInterrupt) else error
        return error

    def _hand_out(self) -> None:
        most = _MOST_CHUNKS if self._point_time else _FIRST_CHUNKS
        while (self._waiting or self._again) and len(self._flying) < most:
            numbers = self._next_chunk()
            chunk = [self._points[number] for number in numbers]
            try:
                future = self._crew.submit(chunk, self._tolerance, self._deliver(numbers))
            except BrokenExecutor as error:
                self._lose([*numbers, *self._waiting, *(n for chunk in self._again for n in chunk)], error)
                self._waiting.clear()
                self._again.clear()
                return
            self._flying[future] = numbers
            future.add_done_callback(self._back.put)

    def _next_chunk(self) -> list[int]:
        if self._again:
            return self._again.popleft()
        size = self._crew.chunk_size(len(self._waiting), len(self._points), self._point_time)
        return [self._waiting.popleft() for _ in range(min(size, len(self._waiting)))]

    def _deliver(self, numbers: Sequence[int]) -> Deliver:
        """Called on the worker's thread, with places in its chunk."""

        def deliver(finished: Mapping[int, Outcome]) -> None:
            if finished:
                self._back.put({numbers[place]: outcome for place, outcome in finished.items()})

        return deliver

    def _take_early(self, delivered: Sequence[Mapping[int, Outcome]]) -> None:
        finished = {number: outcome for part in delivered for number, outcome in part.items()}
        if finished:
            self._delivered.update(finished)
            self._keep(finished)

    def _take(self, done: list[Future[ChunkAnswer]]) -> None:
        """Keep the answers of one round together: one transaction of a store."""
        finished: dict[int, Outcome] = {}
        for future in done:
            error = CancelledError("cancelled by the executor") if future.cancelled() else future.exception()
            if error is None:
                answer = future.result()
                self._check_worker(answer)
                self._point_time = max(answer.seconds / len(answer.outcomes), 1e-6)
                rows = zip(self._flying[future], answer.outcomes, strict=True)
                finished |= {number: row for number, row in rows if number not in self._delivered}
            elif not _is_death(error):
                self._keep(finished)
                raise error
        if finished:
            self._keep(finished)
        for future in done:
            numbers = self._flying.pop(future)
            self._delivered.difference_update(numbers)
            if future.cancelled() or future.exception() is not None:
                self._hand_out_again(numbers, None if future.cancelled() else future.exception())

    def _hand_out_again(self, numbers: list[int], error: BaseException | None) -> None:
        if len(numbers) == 1:
            self._lose(numbers, error)
            return
        middle = len(numbers) // 2
        self._again += [numbers[:middle], numbers[middle:]]

    def _lose(self, numbers: Sequence[int], error: BaseException | None) -> None:
        reason = f"its worker died: {type(error).__name__}: {error}" if error else "cancelled by the executor"
        nothing = np.full(len(self._figure_names()), np.nan)
        self._keep({number: Outcome(LOST, reason, nothing) for number in numbers})

    def _check_worker(self, answer: ChunkAnswer) -> None:
        if (answer.version, answer.figures) != (_core.__version__, self._figure_names()):
            raise RuntimeError(
                f"a worker computes with gateswing {answer.version}, this process with {_core.__version__}"
                " or another build of that: install the same on both"
            )

    def _figure_names(self) -> tuple[str, ...]:
        """Of the points, which are of one kind of cell."""
        return kind_of(next(iter(self._points.values())).cell).figure_names


def _is_death(error: BaseException) -> bool:
    """Whether a worker or the way to it died. dask's errors are known by their home, not imported."""
    home = type(error).__module__.partition(".")[0]
    return isinstance(error, BrokenExecutor | CancelledError | ConnectionError) or home == "distributed"
