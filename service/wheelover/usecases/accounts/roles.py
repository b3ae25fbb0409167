"""Which role may do what. Nothing else decides it."""

from typing import Literal

Action = Literal[
    "open",
    "self",
    "compute",
    "read",
    "edit",
    "offer",
    "check",
    "sign",
    "decide",
    "shore_decide",
    "explain",
    "discuss",
    "manage_library",
    "parcel",
    "manage_accounts",
]
Role = Literal["reader", "navigator", "master", "superintendent", "administrator"]

_ON_BOARD = frozenset(
    {"read", "edit", "offer", "check", "sign", "explain", "discuss", "manage_library", "parcel"}
)
ROLE_ACTIONS: dict[str, frozenset[str]] = {
    "reader": frozenset({"read"}),
    "navigator": _ON_BOARD,
    "master": _ON_BOARD | {"decide"},
    "superintendent": frozenset({"read", "shore_decide", "discuss", "parcel"}),
    "administrator": frozenset({"manage_accounts"}),
}
"""What each role may do where it is granted. Whoever manages accounts decides on no plan."""

SCOPE_ACTIONS: dict[str, frozenset[str]] = {
    "read": frozenset({"read"}),
    "write": frozenset({"read", "edit", "offer", "manage_library"}),
    "parcel": frozenset({"read", "parcel"}),
}
"""What each scope of a key allows. What a person answers for, no key does: no check, sign-off,
decision, explanation or answer in a thread."""

EVERYBODY: frozenset[str] = frozenset({"compute"})
"""What everybody who has signed in may do: compute, which stores nothing."""

SHARED_LIBRARY_ROLES: frozenset[str] = frozenset({"superintendent"})
"""Who may renew ships' particulars and hazard sets that are for all vessels."""


def roles_for(action: str) -> list[str]:
    """Return the roles that may do something, in words for a refusal.

    Examples
    --------
    >>> roles_for("decide")
    ['master']
    """
    return [role for role, actions in ROLE_ACTIONS.items() if action in actions]


def scopes_for(action: str) -> list[str]:
    """Return the scopes of a key that allow something."""
    return [scope for scope, actions in SCOPE_ACTIONS.items() if action in actions]
