"""Many documents on a Dask cluster: local by default, an address for a real one."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from fellfare.batch.journal import Journal
from fellfare.batch.work import COLUMNS, Kind, row_of
from fellfare.mistake import Mistake

#: Tries of one document when its worker dies or a fault of ours comes out.
TRIES = 3


@contextmanager
def cluster(workers: int, address: str | None = None) -> Iterator[Any]:
    """A client of a cluster: ``workers`` processes on this machine (loopback only), or the
    scheduler at ``address``.

    Raises
    ------
    Mistake
        ``batch-not-installed``, ``scheduler-unreachable``.
    """
    try:
        from distributed import Client, LocalCluster
    except ImportError as error:
        raise Mistake(
            "batch-not-installed",
            "the parts for many trips at once are not installed",
            "install fellfare with its extra 'batch'",
        ) from error
    if address is not None:
        try:
            client = Client(address, timeout="5s")
        except (OSError, TimeoutError, ValueError) as error:
            raise Mistake(
                "scheduler-unreachable",
                f"no scheduler answers at {address} ({type(error).__name__})",
                "start one, or leave --scheduler out to use this machine",
            ) from error
        with client:
            yield client
        return
    with (
        LocalCluster(
            n_workers=workers, threads_per_worker=1, processes=True, host="127.0.0.1",
            dashboard_address="127.0.0.1:0", silence_logs=50,
        ) as local,
        Client(local) as client,
    ):  # fmt: skip
        yield client


def run(
    client: Any,
    kind: Kind,
    paths: Sequence[str],
    journal: Journal,
    *,
    seconds: float = 30.0,
    heard: Callable[[dict[str, Any], int, int], None] = lambda row, done, of: None,
) -> tuple[dict[str, Any], ...]:
    """A row for every path, in the order of the paths; what the journal has is not done again.

    A document whose worker died is given to another one; after :data:`TRIES` tries, or when a
    fault of ours came out as often, its row says so and the others go on.
    """
    from distributed import as_completed

    waiting = [path for path in dict.fromkeys(paths) if path not in journal.done]
    futures = {
        client.submit(row_of, kind, path, seconds, retries=TRIES - 1, pure=False): path
        for path in waiting
    }
    of = len(dict.fromkeys(paths))
    for future in as_completed(list(futures)):
        path = futures[future]
        error = future.exception()
        row = future.result() if error is None else _lost(kind, path, error)
        journal.add(row)
        future.release()
        heard(row, of - sum(p not in journal.done for p in futures.values()), of)
    return tuple(journal.done[path] for path in dict.fromkeys(paths))


def _lost(kind: Kind, path: str, error: BaseException) -> dict[str, Any]:
    row: dict[str, Any] = dict.fromkeys(COLUMNS[kind])
    died = type(error).__name__ == "KilledWorker"
    return row | {
        "file": path,
        "code": "worker-died" if died else "our-fault",
        "what": (
            f"its worker died {TRIES} times"
            if died
            else f"a fault of the program: {type(error).__name__}: {error}"
        ),
        "mend": "run it alone, with more memory" if died else "please report it with the document",
        "where": path,
    }


def write_parquet(path: Path, kind: Kind, rows: Sequence[dict[str, Any]]) -> None:
    """The rows as one Parquet file, written whole or not at all.

    Raises
    ------
    Mistake
        ``batch-not-installed``, ``file-unwritable``.
    """
    try:
        import pyarrow as pa
        import pyarrow.parquet as pq
    except ImportError as error:
        raise Mistake(
            "batch-not-installed",
            "the part that writes Parquet is not installed",
            "install fellfare with its extra 'batch', or ask for .csv",
        ) from error
    from io import BytesIO

    from fellfare.files.writing import write_bytes

    types = {str: pa.string(), int: pa.int64(), float: pa.float64()}
    schema = pa.schema([(name, types[python]) for name, python in COLUMNS[kind].items()])
    table = pa.Table.from_pylist([dict(row) for row in rows], schema=schema)
    buffer = BytesIO()
    pq.write_table(table, buffer)
    write_bytes(path, buffer.getvalue(), replace=True)
