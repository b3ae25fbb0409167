"""Settings: one row each, with default and help. Read once, at start."""

import os
from dataclasses import dataclass
from pathlib import Path

_REPO = Path(__file__).resolve().parents[2]


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """One setting: the environment variable it is read from, its default and what it is for."""

    variable: str
    default: str
    help: str


SETTINGS: dict[str, Setting] = {
    "host": Setting(
        variable="WHEELOVER_HOST",
        default="127.0.0.1",
        help="Address to listen on. Without accounts only loopback is allowed.",
    ),
    "port": Setting(variable="WHEELOVER_PORT", default="8765", help="Port to listen on."),
    "database": Setting(
        variable="WHEELOVER_DATABASE",
        default=f"sqlite:///{_REPO / 'var' / 'wheelover.sqlite3'}",
        help="Where plans, ships and hazard sets are kept: sqlite:/// and a file on a local disk, "
        "or postgresql://user@host/database.",
    ),
    "web": Setting(
        variable="WHEELOVER_WEB",
        default=str(_REPO / "web"),
        help="Folder of the page.",
    ),
    "samples": Setting(
        variable="WHEELOVER_SAMPLES",
        default=str(_REPO / "sample_routes"),
        help="Folder of the sample routes; the demonstration is read from it.",
    ),
    "accounts": Setting(
        variable="WHEELOVER_ACCOUNTS",
        default="off",
        help="on: people sign in, each with a role on a vessel or a fleet. off: loopback only.",
    ),
    "host_names": Setting(
        variable="WHEELOVER_HOST_NAMES",
        default="",
        help="Names, with commas between, that the service answers on besides loopback.",
    ),
    "tls_certificate": Setting(
        variable="WHEELOVER_TLS_CERTIFICATE",
        default="",
        help="File of the certificate chain (PEM) for https.",
    ),
    "tls_key": Setting(
        variable="WHEELOVER_TLS_KEY", default="", help="File of the certificate's key (PEM)."
    ),
    "behind_tls_proxy": Setting(
        variable="WHEELOVER_BEHIND_TLS_PROXY",
        default="off",
        help="on: a proxy in front ends https; only it may ask, and it names who asks.",
    ),
    "proxy_addresses": Setting(
        variable="WHEELOVER_PROXY_ADDRESSES",
        default="127.0.0.1",
        help="Addresses of that proxy, with commas between.",
    ),
    "plain_http": Setting(
        variable="WHEELOVER_PLAIN_HTTP",
        default="",
        help="own-network: plain http on the ship's own network. The page says that it is open.",
    ),
    "key_file": Setting(
        variable="WHEELOVER_KEY_FILE",
        default="",
        help="File of the key that seals secrets in the database; beside it where not set. Every "
        "process of one database needs the same.",
    ),
    "rate_per_minute": Setting(
        variable="WHEELOVER_RATE_PER_MINUTE",
        default="600",
        help="How much computing one person, key or address may ask for in a minute (a plan is 2); "
        "a hundred times that without accounts. off: no limit.",
    ),
    "rate_burst": Setting(
        variable="WHEELOVER_RATE_BURST",
        default="300",
        help="How much of it at once. off: no limit.",
    ),
    "at_once": Setting(
        variable="WHEELOVER_AT_ONCE",
        default="24",
        help="How many requests that compute one process answers at a time, so that reading always "
        "goes on. off: as many as it has threads.",
    ),
    "at_once_each": Setting(
        variable="WHEELOVER_AT_ONCE_EACH",
        default="12",
        help="How many of them for one person or key, where people sign in. off: all.",
    ),
    "outside_issuer": Setting(
        variable="WHEELOVER_OUTSIDE_ISSUER",
        default="",
        help="Issuer (https) of the OpenID Connect provider of the shore office. Empty: none.",
    ),
    "outside_client_id": Setting(
        variable="WHEELOVER_OUTSIDE_CLIENT_ID",
        default="",
        help="What that provider calls this service.",
    ),
    "outside_client_secret_file": Setting(
        variable="WHEELOVER_OUTSIDE_CLIENT_SECRET_FILE",
        default="",
        help="File of the secret that the provider shares with this service.",
    ),
    "outside_address": Setting(
        variable="WHEELOVER_OUTSIDE_ADDRESS",
        default="",
        help="Address of this service as browsers see it, to which the provider sends them back.",
    ),
    "import_memory_mb": Setting(
        variable="WHEELOVER_IMPORT_MEMORY_MB",
        default="1024",
        help="Most memory of the process that reads charts, MB.",
    ),
    "import_cpu_s": Setting(
        variable="WHEELOVER_IMPORT_CPU_S",
        default="20",
        help="Most time of a processor for each file and 4 MB of an import of charts, seconds.",
    ),
    "import_wall_s": Setting(
        variable="WHEELOVER_IMPORT_WALL_S",
        default="60",
        help="Most time by the clock for each file and 4 MB of an import of charts, seconds.",
    ),
}

LOOPBACK_HOSTS = ("127.0.0.1", "localhost", "::1")


def setting(name: str) -> str:
    """Return the value of a setting: its environment variable, else its default."""
    row = SETTINGS[name]
    return os.environ.get(row.variable) or row.default
