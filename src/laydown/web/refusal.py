"""A request that a door turns away, before anything is done."""

from __future__ import annotations


class Refusal(Exception):
    """Turned away at a door.

    Parameters
    ----------
    status : int
    what : str
        One sentence.
    log_in : bool
        Whether logging in would help, so that a page leads there.
    retry_after : int
        Seconds; 0 says nothing.
    title, then : str
        Title and next step of the page where those of the status do not fit; empty for those.
    """

    def __init__(
        self, status: int, what: str, *, log_in: bool = False, retry_after: int = 0, title: str = "", then: str = ""
    ) -> None:
        self.status = status
        self.what = what
        self.log_in = log_in
        self.retry_after = retry_after
        self.title = title
        self.then = then
        super().__init__(what)
