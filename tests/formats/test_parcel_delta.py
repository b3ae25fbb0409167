"""Parts built on others: the difference goes alone, what it makes is held like any part."""

import dataclasses
import hashlib
import json
import random
import zlib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.formats.test_parcel import KEY, SMALL, keys, manifest_of
from wheelover.core.errors import ParcelRefused
from wheelover.formats.parcel import Limits, Part, opened, packed, parts_of, sealed
from wheelover.formats.parcel.delta import applied, delta_of

INDEX = b'{"index":1}'
ROOMY = dataclasses.replace(SMALL, parcel_count=10**6, part_count=10**6, unpacked_count=10**7)


def revision(waypoints: int, changed: int | None = None) -> bytes:
    """Return something like a frozen document: many rows of numbers, one of them changed."""
    chance = random.Random(7)  # noqa: S311
    rows = [
        {"id": f"W{n}", "lat_deg": chance.uniform(-60, 60), "lon_deg": chance.uniform(-180, 180)}
        for n in range(waypoints)
    ]
    if changed is not None:
        rows[changed]["lat_deg"] += 0.001
    return json.dumps({"rows": rows}).encode()


def parcel_of(*both: tuple[Part, bytes], limits: Limits = ROOMY, **changed: Any) -> bytes:
    streams = {part.sha256: stream for part, stream in both}
    manifest = manifest_of(tuple(part for part, _ in both), **changed)
    return sealed(manifest, streams, KEY, limits)


def taken(body: bytes, *here: bytes, unbuilt: bool = False) -> list[bytes]:
    held = {hashlib.sha256(one).hexdigest(): one for one in here}
    parcel = opened(body, keys(), "shore-1", ROOMY)
    return [text for _, text in parts_of(parcel, held.get, unbuilt=unbuilt)]


@given(st.binary(max_size=300), st.binary(max_size=300), st.lists(st.integers(0, 299), max_size=6))
def test_a_delta_makes_what_it_was_made_of(base: bytes, new: bytes, cuts: list[int]) -> None:
    """Of texts that share pieces, and of such as share nothing."""
    base = base * 3
    body = b"".join([base[cut : cut + 90] + new[cut % 50 : cut % 50 + 20] for cut in cuts]) + new
    assert applied(base, delta_of(base, body), len(body)) == body


@given(st.binary(max_size=200), st.binary(max_size=60))
def test_bytes_that_are_no_delta_give_no_more_than_they_may(base: bytes, delta: bytes) -> None:
    try:
        made = applied(base, delta, 100)
    except ParcelRefused:
        return
    assert len(made) <= 100 + len(delta)


def test_a_second_revision_is_small_also_where_zlibs_dictionary_ends() -> None:
    """One waypoint of 2,000 moved: a fiftieth of the whole; a preset dictionary sees 32 KB."""
    first, second = revision(2000), revision(2000, changed=100)
    whole, built = packed(second)[1], packed(second, base=first)[1]
    preset = zlib.compressobj(9, zdict=first[-32768:])
    by_dictionary = preset.compress(second) + preset.flush()
    assert len(built) < len(whole) / 50
    assert len(built) < len(by_dictionary) / 20
    part, stream = packed(second, base=first)
    body = parcel_of(packed(INDEX), (part, stream))
    assert taken(body, first) == [INDEX, second]


def test_what_shares_nothing_goes_whole() -> None:
    chance = random.Random(1)  # noqa: S311
    part, stream = packed(chance.randbytes(900), base=chance.randbytes(900))
    assert part.base_sha256 is None
    assert zlib.decompress(stream)


def test_a_part_is_built_on_one_before_it() -> None:
    first, second = revision(50), revision(50, changed=3)
    body = parcel_of(packed(INDEX), packed(first), packed(second, base=first))
    assert taken(body) == [INDEX, first, second]
    late = parcel_of(packed(INDEX), packed(second, base=first), packed(first))
    with pytest.raises(ParcelRefused, match="which is not here"):
        taken(late)


def test_a_part_built_on_what_is_not_here_is_passed_over_or_refused() -> None:
    first, second = revision(50), revision(50, changed=3)
    body = parcel_of(packed(INDEX), packed(second, base=first))
    assert taken(body, unbuilt=True) == [INDEX]
    with pytest.raises(ParcelRefused, match="carries everything") as refusal:
        taken(body)
    assert refusal.value.reason == "part"


@pytest.mark.parametrize("unbuilt", [False, True])
def test_each_byte_of_a_delta_counts(unbuilt: bool) -> None:
    first, second = revision(20), revision(20, changed=3)
    whole = parcel_of(packed(INDEX), packed(second, base=first))
    count = len(packed(second, base=first)[1])
    for at in range(len(whole) - count, len(whole)):
        flipped = whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :]
        with pytest.raises(ParcelRefused):
            taken(flipped, first, unbuilt=unbuilt)


def test_another_base_or_size_than_the_deltas_own_is_refused() -> None:
    first, second = revision(20), revision(20, changed=3)
    part, stream = packed(second, base=first)
    other = revision(21)
    lies = (
        dataclasses.replace(part, base_sha256=hashlib.sha256(other).hexdigest()),
        dataclasses.replace(part, size_count=part.size_count - 1),
        dataclasses.replace(part, size_count=part.size_count + 1),
        dataclasses.replace(part, sha256="0" * 64),
    )
    for lie in lies:
        with pytest.raises(ParcelRefused) as refusal:
            taken(parcel_of(packed(INDEX), (lie, stream)), first, other)
        assert refusal.value.reason == "part"


def test_the_version_says_whether_parts_are_built_on_others() -> None:
    first, second = revision(20), revision(20, changed=3)
    plain = opened(parcel_of(packed(INDEX), packed(second)), keys(), "shore-1", ROOMY)
    built = opened(parcel_of(packed(INDEX), packed(second, base=first)), keys(), "shore-1", ROOMY)
    assert b'"version":1' in plain.body
    assert b'"version":2' in built.body
