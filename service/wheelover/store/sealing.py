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
from wheelover.settings import setting
from wheelover.store.faults import StoreRefused

_MARK = "sealed:"
_REPO_VAR = Path(__file__).resolve().parents[3] / "var"


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

    @property
    def name(self) -> str:
        """Return the name of the key file, for messages."""
        return self._path.name

    def kept(self, text: str) -> str:
        """Return a text as a column keeps it: sealed, and marked as such."""
        return _MARK + self.close(text)

    def read(self, kept: str) -> str | None:
        """Return the text that a column keeps; None when another key file sealed it."""
        return self.open(kept.removeprefix(_MARK)) if is_sealed(kept) else kept

    def exported(self) -> bytes | None:
        """Return the key itself, for a backup that takes it along; None where there is none yet."""
        try:
            return self._path.read_bytes().strip() if self._path.exists() else None
        except OSError as error:
            raise StoreRefused(f"The key file {self.name} cannot be read.") from error

    def require_place_for(self, secret: bytes) -> None:
        """Refuse to take over a key where another one lies already.

        Raises
        ------
        StoreRefused
            When the file holds another key: what that one sealed could not be opened any more.
        """
        if self.exported() not in (None, secret):
            raise StoreRefused(
                f"The key file {self.name} is there already and is another one than the backup's; "
                "set WHEELOVER_KEY_FILE to a new place."
            )

    def take_over(self, secret: bytes) -> None:
        """Keep a key that a backup brought along."""
        self.require_place_for(secret)
        try:
            self._path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            if not self._path.exists():
                _make(self._path, secret)
        except OSError as error:
            raise _cannot_be_made(self._path, error) from error

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
            _make(path, Fernet.generate_key())
        return path.read_bytes().strip()
    except OSError as error:
        raise _cannot_be_made(path, error) from error


def _cannot_be_made(path: Path, error: OSError) -> StoreRefused:
    """Return the refusal for a key file that cannot be had, with its remedy."""
    return StoreRefused(
        f"The key file {path.name} cannot be made or read ({error.strerror}); "
        "set WHEELOVER_KEY_FILE to a place that may be written."
    )


def _make(path: Path, secret: bytes) -> None:
    """Make a key file whole: of two that make it at once, the first one's stays."""
    made = path.with_name(f"{path.name}.{os.getpid()}.{threading.get_ident()}")
    handle = os.open(made, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(secret)
            file.flush()
            os.fsync(file.fileno())
        with contextlib.suppress(FileExistsError):
            os.link(made, path)
    finally:
        made.unlink()


def is_sealed(kept: str) -> bool:
    """Return whether a column keeps a text sealed; one of an earlier version stands in clear."""
    return kept.startswith(_MARK)


def seal_of(database_url: str) -> Seal:
    """Return the seal of a database: the key file of the setting, else the one beside it."""
    named = setting("key_file")
    return Seal(Path(named) if named else beside(database_url, ".key", _REPO_VAR / "wheelover.key"))


def beside(database_url: str, suffix: str, otherwise: Path) -> Path:
    """Return a file beside a database's own, or another where the database is no file."""
    try:
        url = make_url(database_url)
    except ArgumentError:
        return otherwise  # opening the store says what is wrong with it
    if url.get_backend_name() != "sqlite" or not url.database:
        return otherwise
    return Path(f"{url.database}{suffix}")
