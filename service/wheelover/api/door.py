"""How the service is reached: with accounts or without, over which link, by which names."""

import ipaddress
from dataclasses import dataclass
from pathlib import Path
from typing import Literal
from urllib.parse import urlsplit

from starlette.types import Scope

from wheelover.core.errors import WheeloverError
from wheelover.settings import LOOPBACK_HOSTS, SETTINGS, setting
from wheelover.store.sealing import Seal, beside, seal_of
from wheelover.usecases.accounts.outside import Provider

Link = Literal["loopback", "tls", "open"]

_REPO_VAR = Path(__file__).resolve().parents[3] / "var"
LINK_WORDS: dict[str, str] = {
    "loopback": "This machine only",
    "tls": "Encrypted link (https)",
    "open": "This link is open (plain http): whoever is on this network can read along",
}


class SettingRefused(WheeloverError):
    """Settings that do not go together, with the remedy in one sentence."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Door:
    """How the service is reached.

    ``hosts`` are the names it answers on, ``proxies`` the addresses of the proxy in front, the only
    ones that may say who asks. ``first_code`` is where the first administrator's code is written.
    """

    accounts: bool
    link: Link
    hosts: tuple[str, ...]
    proxies: tuple[str, ...]
    seal: Seal
    first_code: Path
    outside: Provider | None

    @property
    def cookie(self) -> str:
        """Return the name of the session's cookie; the prefix binds it to this host and https."""
        return "__Host-wheelover" if self.link == "tls" else "wheelover"

    @property
    def browser_cookie(self) -> str:
        """Return the name of the cookie by which a browser is known that signed in before."""
        return f"{self.cookie}-browser"

    @property
    def secure(self) -> bool:
        """Return whether cookies go over https only."""
        return self.link == "tls"

    def address_of(self, scope: Scope) -> str:
        """Return where a request comes from: the proxy's word for it counts where there is one.

        Of what a header lists, the last one that is no proxy of ours was written by our proxy;
        whatever stands before it the sender may have made up.
        """
        peer = peer_of(scope)
        if peer not in self.proxies:
            return peer
        forwarded = [
            part.strip()
            for name, value in scope["headers"]
            if name == b"x-forwarded-for"
            for part in value.decode("latin-1").split(",")
        ]
        others = [one for one in forwarded if one and one not in self.proxies]
        return others[-1] if others else peer


def peer_of(scope: Scope) -> str:
    """Return the address at the other end of a connection."""
    client = scope.get("client")
    return str(client[0]) if client else "local"


def door_from_settings(database_url: str) -> Door:
    """Return how the service is reached, as the settings say.

    Raises
    ------
    SettingRefused
        When they do not go together.
    """
    accounts = _switch("accounts")
    proxy, plain = _switch("behind_tls_proxy"), _plain()
    tls = bool(setting("tls_certificate"))
    if tls != bool(setting("tls_key")):
        raise SettingRefused("https needs both WHEELOVER_TLS_CERTIFICATE and WHEELOVER_TLS_KEY.")
    if proxy + plain + tls > 1:
        raise SettingRefused(
            "Set one of WHEELOVER_TLS_CERTIFICATE, WHEELOVER_BEHIND_TLS_PROXY and "
            "WHEELOVER_PLAIN_HTTP: they are three kinds of link."
        )
    if (proxy or plain) and not accounts:
        raise SettingRefused("Other machines may ask only where people sign in: accounts are off.")
    names = _listed("host_names")
    if proxy and not names:
        raise SettingRefused("Behind a proxy, WHEELOVER_HOST_NAMES must say the public names.")
    return Door(
        accounts=accounts,
        link="tls" if tls or proxy else "open" if plain else "loopback",
        hosts=(*LOOPBACK_HOSTS, *names) if accounts else LOOPBACK_HOSTS,
        proxies=_proxies() if proxy else (),
        seal=seal_of(database_url),
        first_code=beside(database_url, ".first-code", _REPO_VAR / "first-code"),
        outside=_outside() if accounts else None,
    )


def _switch(name: str) -> bool:
    """Return a setting that is on or off."""
    value = setting(name)
    if value not in ("on", "off"):
        raise SettingRefused(f"{SETTINGS[name].variable} is on or off, not {value!r}.")
    return value == "on"


def _plain() -> bool:
    """Return whether plain http is allowed on the ship's own network."""
    value = setting("plain_http")
    if value not in ("", "own-network"):
        raise SettingRefused(
            f"WHEELOVER_PLAIN_HTTP is own-network, or not set at all; not {value!r}."
        )
    return bool(value)


def _listed(name: str) -> tuple[str, ...]:
    """Return a setting with commas between."""
    return tuple(part.strip().lower() for part in setting(name).split(",") if part.strip())


def _proxies() -> tuple[str, ...]:
    """Return the addresses of the proxy in front."""
    addresses = _listed("proxy_addresses")
    for one in addresses:
        try:
            ipaddress.ip_address(one)
        except ValueError as error:
            raise SettingRefused(f"WHEELOVER_PROXY_ADDRESSES: {one!r} is no address.") from error
    return addresses


def _outside() -> Provider | None:
    """Return the provider of the shore office, None where none is set."""
    issuer = setting("outside_issuer")
    if not issuer:
        return None
    client_id, address = setting("outside_client_id"), setting("outside_address")
    if not client_id or not address:
        raise SettingRefused(
            "WHEELOVER_OUTSIDE_ISSUER needs WHEELOVER_OUTSIDE_CLIENT_ID and "
            "WHEELOVER_OUTSIDE_ADDRESS beside it."
        )
    for one in (issuer, address):
        if not encrypted_or_here(one):
            raise SettingRefused(f"{one!r} must be an https address (http on loopback alone).")
    secret_file = setting("outside_client_secret_file")
    try:
        secret = Path(secret_file).read_text().strip() if secret_file else ""
    except OSError as error:
        raise SettingRefused(
            f"WHEELOVER_OUTSIDE_CLIENT_SECRET_FILE cannot be read ({error.strerror})."
        ) from error
    return Provider(
        issuer=issuer,
        client_id=client_id,
        client_secret=secret,
        return_address=f"{address.rstrip('/')}/api/v1/sign-in/outside/return",
    )


def encrypted_or_here(address: str) -> bool:
    """Return whether an address is https, or http on this machine."""
    parts = urlsplit(address)
    return parts.scheme == "https" or (parts.scheme == "http" and parts.hostname in LOOPBACK_HOSTS)
