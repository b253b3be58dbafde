"""What is being worked on outside the request?  A list that several processes share.

Someone asks (:meth:`Jobs.add`); a worker of any process takes it (:meth:`Jobs.claim`),
reports as it goes and hears whether to go on (:meth:`Jobs.report`), and ends it
(:meth:`Jobs.finish`, :meth:`Jobs.fail`).  A worker that says nothing for two minutes loses the
job to another: whoever works longer between two results reports without one now and then.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any, Final, Literal

import msgspec
from msgspec import Struct
from sqlalchemy import Connection, delete, insert, select, update

from fellfare.book.accounts.roles import must
from fellfare.book.names import read_by
from fellfare.book.tables import JOB
from fellfare.mistake import Mistake

if TYPE_CHECKING:
    from fellfare.book.shelf import Shelf

State = Literal["waiting", "running", "done", "failed", "stopped"]
#: States in which nothing more will happen.
ENDED: Final = ("done", "failed", "stopped")

#: A worker that has said nothing for so long is taken for dead [s].
SILENCE_S: Final = 120
#: A job that killed so many workers is not tried again.
MOST_TRIES: Final = 3
#: Most jobs of one club that wait or run.
MOST_OPEN: Final = 20
#: Key of the progress of a job that its worker had to leave.
HANDED_BACK: Final = "handed_back"
#: Largest question, progress or result [bytes].
MOST_BYTES: Final = 5_000_000


class Job(Struct, frozen=True, kw_only=True):
    """One piece of long work, as it stands."""

    id: int
    club_id: int
    #: What is to be done ('menu').
    kind: str
    #: What it is about, so that a page finds its job again ('trip/harrowmoor-round').
    about: str
    state: State
    #: What was asked, as plain values.
    asked: dict[str, Any]
    #: How far it is, as the worker tells it.
    progress: dict[str, Any]
    #: The answer, or why there is none.
    result: str
    asked_by: str
    asked_at: datetime
    #: When the worker last said something; None while it waits.
    heard_at: datetime | None
    ended_at: datetime | None
    stop_asked: bool
    #: How often a worker has taken it.
    tries: int

    @property
    def ended(self) -> bool:
        """Nothing more will happen."""
        return self.state in ENDED


class Jobs:
    """The jobs of one club; without a club (None) only :meth:`claim` is to be used."""

    def __init__(
        self, shelf: Shelf, club_id: int | None, *, by: str = "", may_ask: bool = True
    ) -> None:
        self._shelf, self._club_id = shelf, club_id
        self._by, self._may_ask = by, may_ask

    def add(self, kind: str, asked: Mapping[str, Any], *, about: str = "", by: str = "") -> Job:
        """Ask for something.

        Raises
        ------
        Mistake
            ``job-too-many-open``, ``job-too-large``, ``role-may-not``.
        """
        if self._club_id is None:
            raise TypeError("a job belongs to a club")
        if len(kind) > 20 or len(about) > 200:
            raise TypeError("a kind takes 20 letters, what a job is about 200")
        self._must()
        row = {
            "club_id": self._club_id,
            "kind": kind,
            "about": about,
            "state": "waiting",
            "asked": _packed(asked),
            "progress": "{}",
            "result": "",
            "asked_by": read_by(self._by or by),
            "asked_at": self._shelf.clock(),
            "stop_asked": False,
            "tries": 0,
            "worker": "",
        }
        with self._shelf.writing() as connection:
            still = select(JOB.c.id).where(
                JOB.c.club_id == self._club_id, JOB.c.state.in_(("waiting", "running"))
            )
            if len(connection.scalars(still).all()) >= MOST_OPEN:
                raise Mistake(
                    "job-too-many-open",
                    f"{MOST_OPEN} jobs are waiting or running",
                    "wait for one of them, or stop it",
                )
            key = connection.execute(insert(JOB).values(**row)).inserted_primary_key
            assert key is not None
            return self._one(connection, key[0])

    def claim(self, worker: str, kinds: tuple[str, ...] = ()) -> Job | None:
        """Take the oldest job that waits, or whose worker fell silent; None when there is none.

        ``worker`` is a name of the worker's own, such as ``secrets.token_hex(8)``.
        """
        if not 0 < len(worker) <= 40:
            raise TypeError("a worker's name takes 1 to 40 letters")
        while True:
            with self._shelf.writing() as connection:
                now = self._shelf.clock()
                row = self._next(connection, kinds, now)
                if row is None:
                    return None
                spent = row.tries >= MOST_TRIES
                values: dict[str, Any] = {"heard_at": now, "worker": worker, "state": "running"}
                if spent:
                    values |= {"state": "failed", "ended_at": now, "worker": ""}
                    values["result"] = f"given up: {MOST_TRIES} workers died of it"
                else:
                    values["tries"] = row.tries + 1
                # Only as it was seen: of two workers the second finds it changed.
                done = connection.execute(
                    update(JOB)
                    .where(
                        JOB.c.id == row.id, JOB.c.state == row.state, JOB.c.worker == row.worker,
                        JOB.c.tries == row.tries,
                    )
                    .values(**values)
                )  # fmt: skip
                if done.rowcount == 1 and not spent:
                    return self._one(connection, row.id)

    def _next(self, connection: Connection, kinds: tuple[str, ...], now: datetime) -> Any:
        silent = now - timedelta(seconds=SILENCE_S)
        free = (JOB.c.state == "waiting") | ((JOB.c.state == "running") & (JOB.c.heard_at < silent))
        rows = select(JOB.c.id, JOB.c.state, JOB.c.worker, JOB.c.tries).where(free)
        if self._club_id is not None:
            rows = rows.where(JOB.c.club_id == self._club_id)
        if kinds:
            rows = rows.where(JOB.c.kind.in_(kinds))
        return connection.execute(rows.order_by(JOB.c.id).limit(1)).first()

    def report(self, job_id: int, worker: str, progress: Mapping[str, Any] | None = None) -> bool:
        """Say how far it is; whether to go on (not when a stop is asked, or the job was lost)."""
        values: dict[str, Any] = {"heard_at": self._shelf.clock()}
        if progress is not None:
            values["progress"] = _packed(progress)
        with self._shelf.writing() as connection:
            mine = self._mine(job_id, worker)
            if connection.execute(update(JOB).where(mine).values(**values)).rowcount != 1:
                return False
            return not connection.scalar(select(JOB.c.stop_asked).where(mine))

    def finish(self, job_id: int, worker: str, result: str, *, stopped: bool = False) -> bool:
        """Hand the result in, or what there was of it when it was ``stopped``."""
        return self._end(job_id, worker, "stopped" if stopped else "done", result)

    def fail(self, job_id: int, worker: str, why: str) -> bool:
        """It cannot be done; ``why`` is for the person who asked."""
        return self._end(job_id, worker, "failed", why)

    def _end(self, job_id: int, worker: str, state: State, result: str) -> bool:
        """False when the job has gone to another worker meanwhile: then nothing is kept."""
        if len(result.encode("utf-8")) > MOST_BYTES:
            state, result = "failed", f"the result was larger than {MOST_BYTES / 1e6:g} MB"
        values = {"state": state, "result": result, "ended_at": self._shelf.clock(), "worker": ""}
        with self._shelf.writing() as connection:
            mine = self._mine(job_id, worker)
            return connection.execute(update(JOB).where(mine).values(**values)).rowcount == 1

    def hand_back(self, job_id: int, worker: str) -> bool:
        """The worker must go: the job waits again, and this try does not count; whether it did."""
        values = {
            "state": "waiting", "worker": "", "heard_at": None, "tries": JOB.c.tries - 1,
            "progress": _packed({HANDED_BACK: True}),
        }  # fmt: skip
        with self._shelf.writing() as connection:
            mine = self._mine(job_id, worker)
            return connection.execute(update(JOB).where(mine).values(**values)).rowcount == 1

    def ask_stop(self, job_id: int) -> Job:
        """Ask the worker to stop; a job that nobody has begun is stopped at once."""
        self._must()
        with self._shelf.writing() as connection:
            job = self._one(connection, job_id)
            if job.ended:
                return job
            where = (JOB.c.id == job.id) & (JOB.c.state == "waiting")
            at = self._shelf.clock()
            connection.execute(update(JOB).where(where).values(state="stopped", ended_at=at))
            connection.execute(update(JOB).where(JOB.c.id == job.id).values(stop_asked=True))
            return self._one(connection, job.id)

    def get(self, job_id: int) -> Job:
        """One job as it stands; ``job-not-found`` when it is another club's, or forgotten."""
        with self._shelf.reading() as connection:
            return self._one(connection, job_id)

    def all(self, *, about: str | None = None, kind: str | None = None) -> tuple[Job, ...]:
        """Every job, the newest first."""
        rows = select(JOB).where(self._ours()).order_by(JOB.c.id.desc())
        if about is not None:
            rows = rows.where(JOB.c.about == about)
        if kind is not None:
            rows = rows.where(JOB.c.kind == kind)
        with self._shelf.reading() as connection:
            return tuple(_job(row) for row in connection.execute(rows))

    def forget(self, older_than_days: float) -> int:
        """Throw away jobs that ended so long ago; how many."""
        before = self._shelf.clock() - timedelta(days=older_than_days)
        where = self._ours() & JOB.c.state.in_(ENDED) & (JOB.c.ended_at < before)
        with self._shelf.writing() as connection:
            return connection.execute(delete(JOB).where(where)).rowcount

    # -- the pieces -----------------------------------------------------------------------

    def _must(self) -> None:
        must("cook" if self._may_ask else "reader", "write")

    def _ours(self) -> Any:
        if self._club_id is None:
            raise TypeError("only a worker looks at the jobs of all clubs, and only to claim one")
        return JOB.c.club_id == self._club_id

    def _mine(self, job_id: int, worker: str) -> Any:
        return (
            self._ours()
            & (JOB.c.id == job_id)
            & (JOB.c.state == "running")
            & (JOB.c.worker == worker)
        )

    def _one(self, connection: Connection, job_id: int) -> Job:
        rows = select(JOB).where(JOB.c.id == job_id)
        if self._club_id is not None:
            rows = rows.where(JOB.c.club_id == self._club_id)
        row = connection.execute(rows).first()
        if row is None:
            raise Mistake(
                "job-not-found",
                f"there is no job {job_id}",
                "it may have been done long ago and cleared away: ask again",
            )
        return _job(row)


def _job(row: Any) -> Job:
    fields = {name: getattr(row, name) for name in Job.__struct_fields__}
    fields["asked"] = msgspec.json.decode(row.asked)
    fields["progress"] = msgspec.json.decode(row.progress)
    return Job(**fields)


def _packed(values: Mapping[str, Any]) -> str:
    packed = msgspec.json.encode(dict(values)).decode("utf-8")
    if len(packed) > MOST_BYTES:
        raise Mistake(
            "job-too-large",
            f"what is asked takes {len(packed) / 1e6:.1f} MB",
            f"{MOST_BYTES / 1e6:g} MB is the most",
        )
    return packed


def work(
    jobs: Jobs, job: Job, worker: str, do: Callable[[Job, Callable[[Mapping[str, Any]], bool]], str]
) -> State:
    """Do one claimed job to its end, whatever comes; the state in which it ended.

    ``do`` is given the job and a function to report by, which answers whether to go on.  A
    :class:`Mistake` is told to whoever asked; any other fault is told without its words.
    """
    heard = True

    def report(progress: Mapping[str, Any]) -> bool:
        nonlocal heard
        heard = jobs.report(job.id, worker, progress)
        return heard

    try:
        result = do(job, report)
    except Mistake as mistake:
        jobs.fail(job.id, worker, str(mistake))
    except Exception as error:
        jobs.fail(job.id, worker, f"our fault ({type(error).__name__})")
        raise
    else:
        jobs.finish(job.id, worker, result, stopped=not heard)
    return jobs.get(job.id).state
