"""Sealing what must be read back: with a key that lies outside the database."""

import contextlib
import hmac
import os
import threading
from pathlib import Path

from cryptography.fernet import Fernet, InvalidToken
from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError

from wheelover.core.errors import Damaged
from wheelover.store.faults import StoreRefused


class Seal:
    """Seals and opens short texts. The key is made, for its owner alone, when it is first needed.

    Parameters
    ----------
    path : Path
        The file of the key.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self._secret: bytes | None = None
        self._making = threading.Lock()

    def close(self, text: str) -> str:
        """Return a text sealed."""
        return self._key().encrypt(text.encode()).decode()

    def open(self, sealed: str, most_s: int | None = None) -> str | None:
        """Return the text under a seal; None when it is not ours or older than ``most_s``."""
        try:
            return self._key().decrypt(sealed.encode(), ttl=most_s).decode()
        except (InvalidToken, ValueError):
            return None

    def opened(self, sealed: str) -> str:
        """Return the text under a seal that we made.

        Raises
        ------
        Damaged
            When the key file is not the one that sealed it.
        """
        text = self.open(sealed)
        if text is None:
            raise Damaged(f"A sealed value cannot be opened: is {self._path.name} the key it had?")
        return text

    def digest(self, body: bytes) -> str:
        """Return a digest that nobody can make, or try guesses by, without the key."""
        with self._making:
            if self._secret is None:
                self._secret = _read_or_make(self._path)
            return hmac.digest(self._secret, b"digest " + body, "sha256").hex()

    def _key(self) -> Fernet:
        """Return the key, read or made."""
        with self._making:
            if self._secret is None:
                self._secret = _read_or_make(self._path)
            return Fernet(self._secret)


def _read_or_make(path: Path) -> bytes:
    """Return the key in a file, made if there is none."""
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        if not path.exists():
            _make(path)
        return path.read_bytes().strip()
    except OSError as error:
        raise StoreRefused(
            f"The key file {path.name} cannot be made or read ({error.strerror}); "
            "set WHEELOVER_KEY_FILE to a place that may be written."
        ) from error


def _make(path: Path) -> None:
    """Make a key file whole: of two that make it at once, the first one's stays."""
    made = path.with_name(f"{path.name}.{os.getpid()}.{threading.get_ident()}")
    handle = os.open(made, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(Fernet.generate_key())
            file.flush()
            os.fsync(file.fileno())
        with contextlib.suppress(FileExistsError):
            os.link(made, path)
    finally:
        made.unlink()


def beside(database_url: str, suffix: str, otherwise: Path) -> Path:
    """Return a file beside a database's own, or another where the database is no file."""
    try:
        url = make_url(database_url)
    except ArgumentError:
        return otherwise  # opening the store says what is wrong with it
    if url.get_backend_name() != "sqlite" or not url.database:
        return otherwise
    return Path(f"{url.database}{suffix}")
