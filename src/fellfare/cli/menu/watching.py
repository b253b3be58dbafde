"""How far the search is, on a terminal; Ctrl-C ends it and keeps the best found."""

from __future__ import annotations

import signal
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Final

import click

from fellfare.cli.layout import WIDTH, fit, number
from fellfare.menu.answer import Progress

#: Nothing is said of a search that ends sooner [s].
QUIET_S: Final = 1.0
#: A line is renewed no more often than this [s].
RENEW_S: Final = 0.2


class Watching:
    """Listens to the search; ``stopped`` is True once Ctrl-C was pressed."""

    def __init__(self) -> None:
        self.stopped = False
        self.began = self.said = time.monotonic()
        self.shown = False

    def __call__(self, progress: Progress) -> bool:
        now = time.monotonic()
        if now - self.began > QUIET_S and now - self.said > RENEW_S and sys.stderr.isatty():
            self.said, self.shown = now, True
            best = "no menu yet" if progress.best_g is None else f"{number(progress.best_g)} g"
            gap = "" if progress.best_g is None else f", at most {progress.gap:.1%} too heavy"
            line = f"{now - self.began:4.0f} s  {progress.stage}: {best}{gap}  (Ctrl-C: enough)"
            click.echo("\r" + fit(line, WIDTH - 1), nl=False, err=True)
        return self.stopped

    def done(self) -> None:
        """Take the line away again."""
        if self.shown:
            click.echo("\r" + " " * (WIDTH - 1) + "\r", nl=False, err=True)
            self.shown = False


@contextmanager
def watching() -> Iterator[Watching]:
    """A first Ctrl-C asks the search to end, a second one ends the program as ever."""
    watch = Watching()
    usual = signal.getsignal(signal.SIGINT)

    def stop(number: int, frame: FrameType | None) -> None:
        watch.stopped = True
        signal.signal(signal.SIGINT, usual)

    try:
        signal.signal(signal.SIGINT, stop)
    except ValueError:  # not in the main thread: then there is no Ctrl-C to mind
        yield watch
        return
    try:
        yield watch
    finally:
        signal.signal(signal.SIGINT, usual)
        watch.done()
