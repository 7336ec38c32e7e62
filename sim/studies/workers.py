"""Who judges the blocks: processes of this computer, or a Dask cluster that is running somewhere."""

from __future__ import annotations

import contextlib
import logging
import multiprocessing
import os
import platform
import signal
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import BrokenExecutor, CancelledError, Executor, Future, ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing.connection import wait
from typing import Any, Protocol

from sim.base.errors import ChuckSceneError, NotAvailableError
from sim.studies.versions import Versions, difference, require_alike, unlike, versions

# One thread each: the processes already fill all cores.
ALONE = dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"), "1")
INSTALL = "install it, in the folder of chuckscene, by: pip install '.[study]'"
LOOK = 5.0  # s, after which the cluster is asked again how many workers it has
RETRIES = 3  # of a task whose worker was lost


class Workers(Protocol):
    """Processes that take tasks.

    Attributes
    ----------
    losses : tuple of exception types
        In which a task ends whose process was lost.
    """

    losses: tuple[type[BaseException], ...]

    @property
    def count(self) -> int:
        """Number of tasks that run at a time."""

    def submit(self, function: Callable[..., Any], *arguments: Any) -> Future[Any]:
        """Hand in a task."""

    def renewed(self) -> None:
        """Start again after a process was lost with its tasks."""


class Processes:
    """Processes of this computer."""

    losses: tuple[type[BaseException], ...] = (BrokenExecutor,)

    def __init__(self, count: int) -> None:
        self.count = count
        self._pool = self._started()

    def _started(self) -> Executor:
        # Spawned, not forked: the libraries' threads of this process would not live on in a copy.
        context = multiprocessing.get_context("spawn")
        return ProcessPoolExecutor(self.count, mp_context=context, initializer=_end_with_parent)

    def submit(self, function: Callable[..., Any], *arguments: Any) -> Future[Any]:
        """Hand in a task."""
        return self._pool.submit(_kept, versions(), function, *arguments)

    def renewed(self) -> None:
        """Start new processes; all tasks that were not finished are lost."""
        self._pool.shutdown(wait=False, cancel_futures=True)
        self._pool = self._started()

    def close(self) -> None:
        """End the processes, whatever they do."""
        own: dict[int, Any] = dict(getattr(self._pool, "_processes", None) or {})
        self._pool.shutdown(wait=False, cancel_futures=True)
        for process in own.values():
            process.terminate()
        for process in own.values():
            process.join()


def _kept(expected: Versions, function: Callable[..., Any], *arguments: Any) -> Any:
    """Return a task's result; a mistake of the program comes back as words, which any process can read.

    Raises
    ------
    NotAvailableError
        If this process has other versions than the one that starts the study: a worker may also come later.
    WorkerFault
        For any exception but ours, a library that is missing, and want of memory.
    """
    require_alike(expected, f"a worker on {platform.node()}")
    try:
        return function(*arguments)
    except (ChuckSceneError, ImportError, MemoryError):
        raise
    except Exception as error:
        from sim.base.error_report import as_fault

        fault = as_fault(error)
    raise fault


def _end_with_parent() -> None:
    """End this process when the one that started it ends, however that ends."""
    parent = multiprocessing.parent_process()
    if parent is None:
        return
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is the parent's

    def watch() -> None:
        wait([parent.sentinel])
        os._exit(1)

    threading.Thread(target=watch, daemon=True).start()


class Cluster:
    """A Dask cluster by the address of its scheduler."""

    def __init__(self, address: str) -> None:
        from distributed import Client
        from distributed.scheduler import KilledWorker

        # It warns of each lost worker and block; what comes of it is told where it matters.
        # The client's logger has a level of its own.
        for name in ("distributed", "distributed.client"):
            logging.getLogger(name).setLevel(logging.ERROR)
        self.losses: tuple[type[BaseException], ...] = (CancelledError, KilledWorker)
        try:
            self._client = Client(address, timeout=10, set_as_default=False)
        except (OSError, TimeoutError, ValueError, ImportError) as error:
            text = " ".join(str(error).split()) or type(error).__name__
            raise NotAvailableError(f"--cluster {address} cannot be reached ({text})") from None
        self._address = address
        self._asked, self._count = -LOOK, 0
        if not self.count:
            self.close()
            raise NotAvailableError(f"--cluster {address} has no worker; start one by: dask worker {address}")
        self._require_alike()
        self._pool = self._client.get_executor(pure=False, retries=RETRIES)

    @property
    def count(self) -> int:
        """Number of tasks that run at a time; workers may come and go."""
        if time.monotonic() - self._asked > LOOK:
            self._asked = time.monotonic()
            with contextlib.suppress(OSError, TimeoutError):
                self._count = len(self._client.nthreads())  # a worker judges one block at a time
        return self._count

    def submit(self, function: Callable[..., Any], *arguments: Any) -> Future[Any]:
        """Hand in a task."""
        found: Future[Any] = self._pool.submit(_kept, versions(), function, *arguments)
        return found

    def _require_alike(self) -> None:
        """Ask all workers for their versions before anything is handed out.

        Raises
        ------
        NotAvailableError
            If one differs from this process, or cannot say.
        """
        try:
            found: dict[str, Any] = self._client.run(versions, on_error="return")
        except Exception as error:  # what a worker of another version makes of the question may be anything
            found = {"": error}
        for name, told in sorted(found.items()):
            who = f"--cluster {self._address}: the worker {name}".rstrip()
            if not isinstance(told, dict):
                self.close()
                raise NotAvailableError(
                    f"{who} cannot say its versions ({type(told).__name__}); install this version of chuckscene with "
                    "its extra 'study' there"
                )
            if unlike_own := difference(versions(), told):
                self.close()
                raise NotAvailableError(unlike(who, unlike_own))

    def renewed(self) -> None:
        """Say that the cluster is lost: it hands the tasks of a lost worker to another by itself."""
        raise NotAvailableError(
            f"--cluster {self._address} or too many of its workers are lost; the same command goes on where it ended, "
            "finished blocks are kept"
        )

    def close(self) -> None:
        """Leave the cluster running and its tasks dropped."""
        self._client.close()


@contextmanager
def workers(processes: int, cluster: str | None) -> Iterator[Workers]:
    """Give processes of this computer, or a cluster's.

    Raises
    ------
    NotAvailableError
        If the cluster cannot be reached, or Dask is not installed.
    """
    if cluster is None:
        before = {name: os.environ.get(name) for name in ALONE}
        os.environ.update(ALONE)  # inherited by the processes; here the libraries are loaded already
        own: Processes | Cluster = Processes(processes)
    else:
        before = {}
        try:
            own = Cluster(cluster)
        except ImportError:
            raise NotAvailableError(f"--cluster needs Dask, which is not installed; {INSTALL}") from None
    try:
        yield own
    finally:
        own.close()
        for name, value in before.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value
