"""The examples of places that are there only with accounts, each sent as it is written."""

from typing import Any

import pytest

from tests.access.people import PASSWORD, House, grant
from tests.api.test_openapi import example_requests
from wheelover.api.examples import EXAMPLES
from wheelover.usecases.accounts.signed_in import digest_of
from wheelover.usecases.accounts.times import after

# These need a provider: tests/access/test_outside.py has one.
OUTSIDE = "/api/v1/sign-in/outside"
REQUESTS = [one for one in example_requests(with_accounts=True) if OUTSIDE not in one.values[1]]


@pytest.mark.parametrize(("method", "path", "kind", "value", "values"), REQUESTS)
def test_the_examples_run(
    house: House, method: str, path: str, kind: str | None, value: Any, values: dict[str, Any]
) -> None:
    berg = house.account("a.berg", grant("navigator", "own"))
    of_session = path.startswith("/api/v1/session")
    browser = house.signed_in("a.berg") if of_session else house.administrator()
    if path.endswith("/enrolment"):
        with house.store.writing() as unit:
            code = EXAMPLES["EnrolmentIn"]["code"]
            until = after(house.clock(), 60)
            unit.accounts.set(berg, enrol_sha256=digest_of(code), enrol_until_utc=until)
    key = browser.post("/keys", EXAMPLES["KeyIn"]) if "{key_id}" in path else None
    names = {
        **values,
        "account_id": berg,
        "vessel_id": "own",
        "key_id": None if key is None else key.json()["id"],
    }
    place = path.format(**names)
    headers = {}
    if method == "put" and "{account_id}" in path:
        headers["If-Match"] = browser.send("GET", place).headers["etag"]
    body = {} if kind is None else {"json": value}
    answer = browser.send(method.upper(), place, headers=headers, **body)
    assert answer.status_code in (200, 201, 204), answer.text


def test_the_password_of_the_examples_is_one_that_is_taken() -> None:
    assert EXAMPLES["SignInIn"]["password"] == PASSWORD
