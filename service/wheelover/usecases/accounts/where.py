"""Where a request comes from: what wrong passwords are counted by."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Where:
    """The address, the session and the browser of a request, and its time.

    ``session_sha256`` is the digest of its live session's token and ``session_account`` whose that
    is; ``browser`` is what the browser was given when somebody signed in from it before. Each is
    empty where there is none.
    """

    address: str
    now_utc: str
    session_account: str = ""
    session_sha256: str = ""
    browser: str = ""
