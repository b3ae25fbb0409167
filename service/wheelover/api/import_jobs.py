"""Imports of charts that go on beside the requests: one at a time, watched and stopped by id."""

import logging
import threading
from collections import OrderedDict
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import Any, Literal

from wheelover.charts.importing import File, Stopped
from wheelover.charts.limits import limits_from_settings
from wheelover.core.errors import Fault, NotFound, Unavailable, WheeloverError
from wheelover.store import Store
from wheelover.store.sequence import new_id
from wheelover.usecases.chart_imports import Watch, import_charts, refused
from wheelover.usecases.people import Actor

_log = logging.getLogger("wheelover.charts")

MOST_WAITING = 8
MOST_KEPT = 100

State = Literal["waiting", "running", "done", "failed", "stopped"]
Document = dict[str, Any]


@dataclass(slots=True, kw_only=True)
class Job:
    """One import: how far it is, and what came of it.

    ``faults`` name files and records. Read and written under the lock of its jobs.
    """

    id: str
    actor: Actor
    names: tuple[str, ...]
    begun_utc: str
    state: State = "waiting"
    stage: str = "waiting"
    percent: int = 0
    ended_utc: str | None = None
    message: str | None = None
    faults: tuple[Fault, ...] = ()
    result: Document | None = None
    stop: threading.Event = field(default_factory=threading.Event)


class ImportJobs:
    """The imports of one service. They are forgotten when it stops; what they kept is not.

    Parameters
    ----------
    store : Store
        Where charts are kept.
    now_utc : callable
        The time, RFC 3339.
    """

    def __init__(self, store: Store, now_utc: Callable[[], str]) -> None:
        self._store = store
        self._now_utc = now_utc
        self._lock = threading.Lock()
        self._jobs: OrderedDict[str, Job] = OrderedDict()
        self._pool: ThreadPoolExecutor | None = None
        self._closed = False

    def begin(self, files: Sequence[File], actor: Actor) -> Job:
        """Let an import wait for its turn.

        Raises
        ------
        Unavailable
            When too many wait already, or the service is stopping.
        """
        names = tuple(one.name for one in files)
        job = Job(id=new_id("import"), actor=actor, names=names, begun_utc=self._now_utc())
        with self._lock:
            waiting = sum(one.state in ("waiting", "running") for one in self._jobs.values())
            if waiting >= MOST_WAITING or self._closed:
                raise Unavailable(f"{waiting} imports are waiting already; try again in a minute.")
            self._jobs[job.id] = job
            self._forget()
            if self._pool is None:
                self._pool = ThreadPoolExecutor(1, thread_name_prefix="wheelover-import")
            self._pool.submit(self._run, job, tuple(files))
        return job

    def _forget(self) -> None:
        """Forget the oldest imports that have ended."""
        ended = [key for key, one in self._jobs.items() if one.ended_utc is not None]
        for key in ended[: max(0, len(self._jobs) - MOST_KEPT)]:
            del self._jobs[key]

    def get(self, job_id: str) -> Job:
        """Return an import.

        Raises
        ------
        NotFound
            For an id that stands for none, or one that was forgotten.
        """
        with self._lock:
            found = self._jobs.get(job_id)
        if found is None:
            raise NotFound(f"import {job_id[:80]!r} is not known")
        return found

    def document(self, job: Job) -> Document:
        """Return an import as JSON values."""
        with self._lock:
            return {
                "id": job.id,
                "state": job.state,
                "stage": job.stage,
                "percent": job.percent,
                "files": list(job.names),
                "begun_utc": job.begun_utc,
                "ended_utc": job.ended_utc,
                "message": job.message,
                "errors": [{"message": one.message, "line": one.line} for one in job.faults],
                "result": job.result,
            }

    def stop(self, job: Job) -> None:
        """Ask an import to stop; one that has ended stays as it ended."""
        job.stop.set()

    def close(self) -> None:
        """Stop everything, and wait until no process of it is left."""
        with self._lock:
            self._closed = True
            pool = self._pool
            for one in self._jobs.values():
                one.stop.set()
        if pool is not None:
            pool.shutdown(wait=True)

    def _run(self, job: Job, files: tuple[File, ...]) -> None:
        """Do an import and write down what came of it."""
        self._note(job, state="running", stage="starting")
        watch = Watch(told=lambda stage, percent: self._told(job, stage, percent),
                      stopped=job.stop.is_set)  # fmt: skip
        ended: Document
        try:
            if job.stop.is_set():
                raise Stopped
            limits = limits_from_settings()
            found = import_charts(self._store, files, limits, self._now_utc, job.actor, watch)
            failure = refused(found)
            message = None if failure is None else str(failure)
            state = "done" if failure is None else "failed"
            ended = {"state": state, "result": found.document, "message": message, "percent": 100}
        except Stopped:
            ended = {"state": "stopped", "message": "It was stopped; nothing was kept."}
        except WheeloverError as error:
            ended = {"state": "failed", "message": str(error), "faults": error.faults}
        except Exception:
            # The import is over and must say so, whatever went wrong in it.
            _log.exception("an import of charts failed")
            ended = {"state": "failed", "message": "The import failed; nothing was kept."}
        self._note(job, **ended, stage=ended["state"], ended_utc=self._now_utc())

    def _told(self, job: Job, stage: str, percent: int) -> None:
        """Write down how far an import is."""
        self._note(job, stage=stage, percent=percent)

    def _note(self, job: Job, **members: Any) -> None:
        """Change members of a job together."""
        with self._lock:
            for name, value in members.items():
                setattr(job, name, value)
