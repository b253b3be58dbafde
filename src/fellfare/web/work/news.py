"""What happened to a job whose server stopped?  One sentence for whoever waits; '' = nothing."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Final

from fellfare.book.jobs import HANDED_BACK, SILENCE_S, Job
from fellfare.web.work.worker import ALIVE_S

#: Two signs of life that are missing are no chance any more [s].
_SILENT_S: Final = 2 * ALIVE_S + 5


def news_of(job: Job, now: datetime | None = None) -> str:
    """Whether the job was begun anew, or its worker has fallen silent."""
    if job.ended:
        return ""
    if job.progress.get(HANDED_BACK):
        begun = "is begun anew" if job.state == "running" else "begins anew in a moment"
        return f"The server was stopped while it worked on this; it {begun}."
    if job.state != "running" or job.heard_at is None:
        return ""
    silent_s = ((now or datetime.now(UTC)) - job.heard_at).total_seconds()
    if silent_s > _SILENT_S:
        return (
            f"Nothing was heard of it for {silent_s:.0f} s. If its server died, another begins it "
            f"anew after {SILENCE_S:.0f} s of silence."
        )
    if job.tries > 1:
        return f"Its server died; it was begun anew, for the {_TIMES[min(job.tries, 3)]} time."
    return ""


_TIMES: Final = {2: "second", 3: "third"}
