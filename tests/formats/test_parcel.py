"""The container of parcels: every byte of it is under the signature, and nothing is read before."""

import dataclasses
import hashlib
import struct
import zlib
from collections.abc import Callable, Mapping
from typing import Any

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from wheelover.core.errors import ParcelRefused
from wheelover.formats import strict_json
from wheelover.formats.parcel import (
    AuditHead,
    Limits,
    Manifest,
    Part,
    PinnedKey,
    Place,
    container,
    fingerprint_of,
    key_id_of,
    opened,
    packed,
    parts_of,
    public_of,
    sealed,
)
from wheelover.formats.parcel import manifest as manifests
from wheelover.formats.parcel.signing import sign

KEY = bytes(range(32))
OTHER_KEY = bytes(range(1, 33))
BODIES = (b'{"index":1}', b"what was frozen" * 9, b"")
SMALL = Limits(
    parcel_count=20_000, part_count=5_000, unpacked_count=8_000, parts_count=6, manifest_count=4000
)


def manifest_of(parts: tuple[Part, ...], **changed: Any) -> Manifest:
    """Return a manifest from ship-1 to shore-1."""
    whole = Manifest(
        sender_id="ship-1",
        sender_name="Zoo carrier",
        sender_side="ship",
        recipient_id="shore-1",
        key_id=key_id_of(public_of(KEY)),
        sequence=7,
        previous_sha256="a" * 64,
        acknowledged=Place(sequence=3, manifest_sha256="b" * 64),
        next_key=None,
        made_utc="2026-11-25T14:02:11.000Z",
        made_with="wheelover 0.1.0",
        audit_heads=(AuditHead(vessel_id="own", number=12, hash="c" * 64),),
        witnessed=(AuditHead(vessel_id="vessel-1", number=3, hash="d" * 64),),
        index_sha256=parts[0].sha256,
        parts=parts,
    )
    return dataclasses.replace(whole, **changed)


def parcel_of(bodies: tuple[bytes, ...] = BODIES, key: bytes = KEY, **changed: Any) -> bytes:
    """Return a parcel of some parts."""
    both = [packed(body) for body in bodies]
    streams = {part.sha256: stream for part, stream in both}
    return sealed(manifest_of(tuple(part for part, _ in both), **changed), streams, key)


def by_hand(text: bytes, streams: bytes, key: bytes = KEY) -> bytes:
    """Return a parcel of any manifest text and any bytes after it, well signed."""
    key_hash = bytes.fromhex(key_id_of(public_of(key)))
    head = struct.pack(">8sHI32s64s", container.MAGIC, 1, len(text), key_hash, sign(key, text))
    return head + text + streams


def keys(**changed: Any) -> Mapping[str, PinnedKey]:
    """Return the pinned keys of the shore office."""
    pinned = PinnedKey(instance_id="ship-1", public_key=public_of(KEY))
    return {key_id_of(public_of(KEY)): dataclasses.replace(pinned, **changed)}


def taken(body: bytes, limits: Limits = SMALL, **changed: Any) -> list[bytes]:
    """Return the parts of a parcel that is taken whole."""
    parcel = opened(body, keys(**changed), "shore-1", limits)
    return [part for _, part in parts_of(parcel)]


def reason_of(body: bytes, limits: Limits = SMALL, **changed: Any) -> str:
    """Return why a parcel is refused."""
    with pytest.raises(ParcelRefused) as caught:
        taken(body, limits, **changed)
    return caught.value.reason


# RFC 8032, section 7.1, TEST 1, 2 and 3: secret key, public key, message, signature.
RFC_8032 = [
    (
        "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
        "",
        "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e3970"
        "1cf9b46bd25bf5f0595bbe24655141438e7a100b",
    ),
    (
        "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
        "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
        "72",
        "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613"
        "d0f11d8c387b2eaeb4302aeeb00d291612bb0c00",
    ),
    (
        "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
        "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025",
        "af82",
        "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760"
        "984dc6594a7c15e9716ed28dc027beceea1ec40a",
    ),
]


@pytest.mark.parametrize(("secret", "public", "message", "signature"), RFC_8032)
def test_the_signature_is_that_of_the_published_vectors(
    secret: str, public: str, message: str, signature: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The published messages are signed as they are, so our own frame is taken off."""
    monkeypatch.setattr("wheelover.formats.parcel.signing._signed", lambda text: text)
    from wheelover.formats.parcel.signing import holds  # noqa: PLC0415

    key, text = bytes.fromhex(secret), bytes.fromhex(message)
    assert public_of(key).hex() == public
    assert sign(key, text).hex() == signature
    assert holds(bytes.fromhex(public), bytes.fromhex(signature), text)
    assert not holds(bytes.fromhex(public), bytes.fromhex(signature), text + b"x")
    assert not holds(bytes.fromhex(public), bytes.fromhex(signature)[:-1] + b"\x01", text)


def test_what_is_signed_is_the_frame_and_the_manifests_digest() -> None:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import (  # noqa: PLC0415
        Ed25519PublicKey,
    )

    body = parcel_of()
    length = struct.unpack(">I", body[10:14])[0]
    frame = b"wheelover-parcel-v1\0" + hashlib.sha256(body[110 : 110 + length]).digest()
    Ed25519PublicKey.from_public_bytes(public_of(KEY)).verify(body[46:110], frame)


def test_a_parcel_reads_back_as_it_was_written() -> None:
    body = parcel_of()
    parcel = opened(body, keys(), "shore-1", SMALL)
    assert [part for _, part in parts_of(parcel)] == list(BODIES)
    assert parcel.manifest == manifest_of(parcel.manifest.parts)
    assert parcel_of() == body


def test_each_byte_counts() -> None:
    """Every byte of a small parcel, in every bit and turned over: all refused."""
    body = parcel_of()
    refusals = 0
    for at in range(len(body)):
        for change in (1, 2, 4, 8, 16, 32, 64, 128, 255):
            other = bytearray(body)
            other[at] ^= change
            reason_of(bytes(other))
            refusals += 1
    assert refusals == 9 * len(body)


def test_every_other_value_of_a_parts_byte_is_refused() -> None:
    """A zlib head may be changed and still unpack to the same: the packed digest holds."""
    body = parcel_of((b"{}",))
    for at in range(len(body) - 10, len(body)):
        for value in range(256):
            other = body[:at] + bytes([value]) + body[at + 1 :]
            if other != body:
                assert reason_of(other) == "part"


def test_a_part_that_unpacks_to_the_same_from_other_bytes_is_refused(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """That is what the packed digest is for: with all that comes after it blind, it still holds."""

    def blind(part: Part, stream: bytes) -> bytes:
        return zlib.decompress(stream)

    body = parcel_of((b"{}",))
    other = body[:-9] + bytes([0x01]) + body[-8:]
    assert other != body
    assert zlib.decompress(other[-10:]) == b"{}"
    monkeypatch.setattr(container, "_inflated", blind)
    assert reason_of(other) == "part"


def test_a_parcel_cut_off_anywhere_or_with_more_behind_is_refused() -> None:
    body = parcel_of()
    for length in range(len(body)):
        assert reason_of(body[:length]) in {"format", "signature", "part"}
    assert reason_of(body + b"\0") == "part"
    assert reason_of(body + body) == "part"


@pytest.mark.parametrize(
    ("body", "changed", "reason"),
    [
        (parcel_of(recipient_id="shore-2"), {}, "recipient"),
        (parcel_of(), {"revoked": True}, "key"),
        (parcel_of(), {"from_sequence": 8}, "key"),
        (parcel_of(), {"public_key": public_of(OTHER_KEY)}, "key"),
        (parcel_of(), {"instance_id": "ship-2"}, "signature"),
        (parcel_of(sender_id="ship-2"), {}, "signature"),
        (parcel_of(key=OTHER_KEY, key_id=key_id_of(public_of(OTHER_KEY))), {}, "key"),
        (parcel_of(key=OTHER_KEY), {}, "signature"),
        (b"", {}, "format"),
        (b"PK\x03\x04" + bytes(200), {}, "format"),
        (parcel_of().replace(b"\r\n", b"\n"), {}, "format"),
        (container.MAGIC + b"\x00\x02" + parcel_of()[10:], {}, "format"),
        (bytes(20_001), {}, "size"),
    ],
)
def test_what_is_not_for_us_from_a_peer_is_refused(
    body: bytes, changed: dict[str, Any], reason: str
) -> None:
    assert reason_of(body, **changed) == reason


def test_nothing_is_parsed_before_the_signature_holds(monkeypatch: pytest.MonkeyPatch) -> None:
    def never(*_: Any) -> Any:
        raise AssertionError("read before the signature held")

    other = bytearray(parcel_of())
    other[120] ^= 1
    monkeypatch.setattr(strict_json, "read_json", never)
    monkeypatch.setattr(manifests, "read_json", never)
    monkeypatch.setattr(zlib, "decompressobj", never)
    assert reason_of(bytes(other)) == "signature"


def bomb(size_count: int, said_count: int) -> tuple[Part, bytes]:
    """Return a part that unpacks to zeros, and how it lies in a parcel."""
    stream = zlib.compress(bytes(size_count), 9)
    part = Part(
        sha256=hashlib.sha256(bytes(size_count)).hexdigest(),
        size_count=said_count,
        packed_sha256=hashlib.sha256(stream).hexdigest(),
        packed_count=len(stream),
    )
    return part, stream


def signed_by_hand(parts: list[tuple[Part, bytes]], **changed: Any) -> bytes:
    """Return a parcel whose manifest no writer of ours would sign."""
    manifest = manifest_of(tuple(part for part, _ in parts), **changed)
    return by_hand(manifests.manifest_bytes(manifest), b"".join(stream for _, stream in parts))


@pytest.mark.parametrize("said", [100, 1_000, 4_999])
def test_a_bomb_that_says_less_than_it_is_never_unpacks(
    said: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    most = 0
    plain = zlib.decompressobj

    class Watched:
        def __init__(self) -> None:
            self.inner = plain()

        def decompress(self, stream: bytes, most_count: int) -> bytes:
            nonlocal most
            body = self.inner.decompress(stream, most_count)
            most = max(most, len(body))
            return body

        def __getattr__(self, name: str) -> Any:
            return getattr(self.inner, name)

    monkeypatch.setattr(zlib, "decompressobj", Watched)
    assert reason_of(signed_by_hand([bomb(10_000_000, said)])) == "part"
    assert most <= said + 1


def test_a_bomb_that_says_what_it_is_is_refused_by_its_numbers() -> None:
    wide = Limits()
    assert reason_of(signed_by_hand([bomb(10_000_000, 10_000_000)]), wide) == "size"
    many = [packed(bytes([n]) * 4_000) for n in range(3)]
    assert reason_of(signed_by_hand(many)) == "size"
    assert reason_of(signed_by_hand([packed(bytes([n])) for n in range(7)])) == "size"
    large = hashlib.shake_128(b"").digest(5_001)
    assert reason_of(signed_by_hand([packed(large)])) == "size"


def test_what_shrinks_too_well_is_stored_so_that_it_is_taken() -> None:
    body = bytes(4_900)
    assert len(zlib.compress(body, 9)) * 100 < len(body)
    assert taken(parcel_of((body,))) == [body]


def test_two_parts_of_one_name_are_refused() -> None:
    part = packed(b"twice")
    assert reason_of(signed_by_hand([part, part])) == "schema"


def test_parts_cannot_lie_over_one_another() -> None:
    """A manifest whose parts are longer than what follows it, or shorter, is refused."""
    part, stream = packed(b"one part alone")
    other = dataclasses.replace(part, sha256=hashlib.sha256(b"other").hexdigest())
    manifest = manifests.manifest_bytes(manifest_of((part, other)))
    assert reason_of(by_hand(manifest, stream)) == "part"
    assert reason_of(by_hand(manifest, stream + stream)) == "part"


def edited(change: Callable[[dict[str, Any]], None]) -> bytes:
    """Return a parcel whose manifest was changed before it was signed."""
    part, stream = packed(b"{}")
    value = strict_json.read_json(manifests.manifest_bytes(manifest_of((part,))))
    change(value)
    return by_hand(rfc8785.dumps(value), stream)


@pytest.mark.parametrize(
    "change",
    [
        {"format": "other"},
        {"version": 2},
        {"sender": {"id": "ship-1", "name": "x", "side": "sea"}},
        {"sender": {"id": "ship-1", "name": "x" * 201, "side": "ship"}},
        {"sender": {"id": "../../etc", "name": "x", "side": "ship"}},
        {"sender": ["ship-1"]},
        {"key_id": "A" * 64},
        {"sequence": 0},
        {"sequence": True},
        {"sequence": 1.5},
        {"previous_sha256": "a"},
        {"acknowledged": {"sequence": 1}},
        {"next_key": 7},
        {"made_utc": "yesterday"},
        {"audit_heads": {}},
        {"witnessed": [1]},
        {"audit_heads": [{"vessel_id": "own", "number": -1, "hash": "c" * 64}]},
        {"index_sha256": "d" * 64},
        {"parts": []},
        {"parts": [["a" * 64, 1, "b" * 64]]},
        {"parts": [["a" * 64, -1, "b" * 64, 5]]},
        {"more": 1},
    ],
)
def test_a_manifest_of_another_shape_is_refused_though_signed(change: dict[str, Any]) -> None:
    assert reason_of(edited(lambda value: value.update(change))) == "schema"


@pytest.mark.parametrize("text", [b"", b"{", b"[]", b'{"a":1,"a":2}', b"\xff", b'{"a": NaN}'])
def test_a_manifest_that_is_no_json_is_refused_though_signed(text: bytes) -> None:
    assert reason_of(by_hand(text, b"")) == "schema"


def test_a_manifest_that_is_not_canonical_is_refused_though_signed() -> None:
    part, stream = packed(b"{}")
    text = manifests.manifest_bytes(manifest_of((part,)))
    assert reason_of(by_hand(text.replace(b'"version":1', b'"version": 1'), stream)) == "schema"


def test_a_parcel_that_nobody_would_take_is_not_made() -> None:
    both = [packed(hashlib.shake_128(bytes([n])).digest(4_000)) for n in range(3)]
    streams = {part.sha256: stream for part, stream in both}
    limits = dataclasses.replace(SMALL, parcel_count=5_000, unpacked_count=50_000)
    with pytest.raises(ParcelRefused, match="5000 are taken at most"):
        sealed(manifest_of(tuple(part for part, _ in both)), streams, KEY, limits)


@given(st.lists(st.binary(max_size=2_000), min_size=1, max_size=8, unique=True))
def test_any_parts_come_back(bodies: list[bytes]) -> None:
    assert taken(parcel_of(tuple(bodies)), Limits()) == bodies


@given(st.binary(max_size=600))
def test_any_other_bytes_are_refused(body: bytes) -> None:
    reason_of(body)
    reason_of(container.MAGIC + body)
    reason_of(parcel_of()[:110] + body)


def test_the_fingerprint_hangs_on_id_side_and_key() -> None:
    one = fingerprint_of("ship-1", "ship", public_of(KEY))
    assert len(one.split()) == 8
    assert {len(group) for group in one.split()} == {5}
    others = {
        fingerprint_of("ship-2", "ship", public_of(KEY)),
        fingerprint_of("ship-1", "shore", public_of(KEY)),
        fingerprint_of("ship-1", "ship", public_of(OTHER_KEY)),
    }
    assert len({one, *others}) == 4
