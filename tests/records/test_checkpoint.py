"""Signed checkpoints: one writing, one purpose, and nothing but the right key's signature holds."""

from __future__ import annotations

import base64
import hashlib
import stat
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import tests.strategies  # noqa: F401 - loads the profile
from trainer.errors import InputError, StateError
from trainer.records import checkpoint
from trainer.records.checkpoint import PublicKey, Signer, public_key_of, verified
from trainer.records.signing_key import make_key, read_key

# Source: RFC 8032, section 7.1, TEST 1 to TEST 3: seed, public key, message, signature.
VECTORS = [
    (
        "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
        "",
        (
            "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e06522490155"
            "5fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b"
        ),
    ),
    (
        "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
        "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
        "72",
        (
            "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da"
            "085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00"
        ),
    ),
    (
        "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
        "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025",
        "af82",
        (
            "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac"
            "18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a"
        ),
    ),
]
PRIME = 2**255 - 19
GROUP_ORDER = 2**252 + 27742317777372353535851937790883648493  # Source: RFC 8032, section 5.1
SEED = bytes.fromhex(VECTORS[0][0])
ROOT = hashlib.sha256(b"").digest()
SIGNER = Signer("north-yard", SEED)
TEXT = SIGNER.checkpoint(8, ROOT)


@pytest.mark.parametrize(("seed", "public", "message", "signature"), VECTORS)
def test_the_published_vectors(seed: str, public: str, message: str, signature: str) -> None:
    key = Signer("vector", bytes.fromhex(seed)).public
    assert key.raw.hex() == public
    assert key.holds(bytes.fromhex(signature), bytes.fromhex(message))
    assert not key.holds(bytes.fromhex(signature), bytes.fromhex(message) + b"\x00")


def test_every_flipped_bit_of_a_signature_is_refused() -> None:
    _, public, message, signature = VECTORS[1]
    key, said, right = PublicKey("k", bytes.fromhex(public)), bytes.fromhex(message), signature
    for bit in range(512):
        changed = bytearray.fromhex(right)
        changed[bit // 8] ^= 1 << (bit % 8)
        assert not key.holds(bytes(changed), said), bit


def test_a_second_writing_of_a_signature_is_refused() -> None:
    """S and S + L sign alike in the group; only the smaller one is a signature (section 5.1.7)."""
    _, public, message, signature = VECTORS[1]
    raw = bytes.fromhex(signature)
    doubled = int.from_bytes(raw[32:], "little") + GROUP_ORDER
    other = raw[:32] + doubled.to_bytes(32, "little")
    assert not PublicKey("k", bytes.fromhex(public)).holds(other, bytes.fromhex(message))


@pytest.mark.parametrize("length", [0, 63, 65])
def test_a_signature_of_another_length_is_refused(length: int) -> None:
    assert not SIGNER.public.holds(b"\x01" * length, b"")


def heights_of_small_order() -> set[int]:
    """The y of every point whose order divides 8, from the curve itself.

    -x² + y² = 1 + d·x²·y². Order 1 and 2: y = ±1; order 4: y = 0; a point of order 8 doubles to
    y = 0, which is y² = -x², so d·y⁴ + 2y² = 1. Source: RFC 8032, section 5.1, curve and doubling.
    """
    d = -121665 * pow(121666, -1, PRIME) % PRIME

    def square_root(value: int) -> int | None:
        value %= PRIME
        root = pow(value, (PRIME + 3) // 8, PRIME)
        if root * root % PRIME != value:
            root = root * pow(2, (PRIME - 1) // 4, PRIME) % PRIME
        return root if root * root % PRIME == value else None

    heights = {0, 1, PRIME - 1}
    inner = square_root(1 + d)
    assert inner is not None
    for sign in (inner, -inner):
        height = square_root((sign - 1) * pow(d, -1, PRIME))
        if height is not None:
            heights |= {height, PRIME - height}
    return heights


def test_keys_of_small_order_are_refused() -> None:
    heights = heights_of_small_order()
    assert len(heights) == 5
    for height in heights:
        for side in (0, 1 << 255):
            with pytest.raises(InputError, match="large group"):
                PublicKey("k", (height | side).to_bytes(32, "little"))


@pytest.mark.parametrize("above", range(19))
def test_keys_in_a_second_writing_are_refused(above: int) -> None:
    with pytest.raises(InputError, match="large group"):
        PublicKey("k", (PRIME + above).to_bytes(32, "little"))


def test_a_checkpoint_is_three_lines_and_a_signature() -> None:
    origin, size, root, gap, signature, end = TEXT.split("\n")
    assert (origin, size, gap, end) == ("checkpoint/v1 north-yard", "8", "", "")
    assert base64.b64decode(root) == ROOT
    assert signature.startswith("— north-yard ")
    raw = base64.b64decode(signature.rsplit(" ", 1)[1])
    public = bytes.fromhex(VECTORS[0][1])
    # Source of the hint: C2SP signed-note, from memory.
    assert raw[:4] == hashlib.sha256(b"north-yard\n\x01" + public).digest()[:4]
    assert len(raw) == 4 + 64
    assert SIGNER.public.holds(raw[4:], f"{origin}\n{size}\n{root}\n".encode())


def test_a_checkpoint_is_verified_by_its_key_alone() -> None:
    found = verified(TEXT, SIGNER.public)
    assert (found.origin, found.size, found.root) == (SIGNER.origin, 8, ROOT)
    stranger = Signer("north-yard", b"\x07" * 32).public
    with pytest.raises(InputError, match="not carry a signature"):
        verified(TEXT, stranger)
    with pytest.raises(InputError, match="not carry a signature"):
        verified(TEXT, PublicKey("harbour-shed", SIGNER.public.raw))


def test_signatures_of_others_are_passed_over() -> None:
    witness = Signer("witness", b"\x09" * 32)
    body, _, line = TEXT.partition("\n\n")
    signature = witness._key.sign(f"{body}\n".encode())
    encoded = base64.b64encode(witness.public.hint + signature).decode()
    both = f"{body}\n\n— witness {encoded}\n{line}"
    assert verified(both, SIGNER.public) == verified(both, witness.public)


def test_a_signature_for_another_purpose_is_no_checkpoint() -> None:
    body = f"signoff/v1 north-yard\n8\n{base64.b64encode(ROOT).decode()}\n"
    signature = SIGNER.public.hint + SIGNER._key.sign(body.encode())
    text = f"{body}\n— north-yard {base64.b64encode(signature).decode()}\n"
    with pytest.raises(InputError, match="does not begin with checkpoint/v1"):
        verified(text, SIGNER.public)


@pytest.mark.parametrize(
    ("old", "new", "why"),
    [
        ("\n8\n", "\n9\n", "signature"),
        ("\n8\n", "\n08\n", "whole number"),
        ("\n8\n", "\n+8\n", "whole number"),
        ("\n8\n", "\n٨\n", "whole number"),
        ("\n8\n", "\n\n", "empty line|three lines|form"),
        ("\n8\n", "\n" + "8" * 5000 + "\n", "whole number"),
        ("\n8\n", "\n8\nextension\n", "three lines"),
        ("checkpoint/v1 north", "checkpoint/v1 south", "signature"),
        ("checkpoint/v1", "checkpoint/v2", "does not begin"),
        ("— north", "- north", "another form"),
        ("— north-yard ", "— north-yard", "another form"),
        ("=\n\n", "\n\n", "base64"),
        ("\n\n", "\n", "cut short"),
    ],
)
def test_any_other_text_is_refused(old: str, new: str, why: str) -> None:
    assert old in TEXT
    with pytest.raises(InputError, match=why):
        verified(TEXT.replace(old, new, 1), SIGNER.public)


def test_a_signature_line_of_another_length_is_refused() -> None:
    body = TEXT.partition("\n\n")[0]
    for length in (0, 4, 67, 69):
        line = f"— north-yard {base64.b64encode(b'x' * length).decode()}"
        with pytest.raises(InputError, match=r"another (length|form)"):
            verified(f"{body}\n\n{line}\n", SIGNER.public)


def test_a_text_that_is_cut_short_is_refused() -> None:
    for end in range(len(TEXT)):
        with pytest.raises(InputError):
            verified(TEXT[:end], SIGNER.public)
    with pytest.raises(InputError, match="form"):
        verified(TEXT + "\n", SIGNER.public)


@given(st.integers(0, len(TEXT) - 1), st.characters())
def test_any_changed_character_is_refused(place: int, character: str) -> None:
    changed = TEXT[:place] + character + TEXT[place + 1 :]
    if changed == TEXT:
        assert verified(changed, SIGNER.public).size == 8
        return
    with pytest.raises(InputError):
        verified(changed, SIGNER.public)


@given(st.integers(0, 10**15), st.binary(min_size=32, max_size=32))
def test_what_was_signed_is_what_is_read(size: int, root: bytes) -> None:
    found = verified(SIGNER.checkpoint(size, root), SIGNER.public)
    assert (found.size, found.root) == (size, root)


def test_a_key_is_handed_out_as_one_line() -> None:
    line = SIGNER.public.text
    assert line.startswith("north-yard+")
    assert public_key_of(f"  {line}\n") == SIGNER.public
    for broken, why in (
        (line.replace("north-yard", "north-yarn"), "hint belongs"),
        (line[:-4], "base64|length"),
        ("north-yard", "form"),
        (f"{line[:20]}+%%%", "base64"),
        ("k+00000000+" + base64.b64encode(b"\x02" + b"\x07" * 32).decode(), "not an Ed25519"),
        ("k+00000000+" + base64.b64encode(b"\x01" + b"\x07" * 31).decode(), "length"),
    ):
        with pytest.raises(InputError, match=why):
            public_key_of(broken)


@pytest.mark.parametrize("name", ["", "two words", "a+b", "tab\tbed", "line\n"])
def test_a_name_has_neither_space_nor_plus(name: str) -> None:
    with pytest.raises(InputError, match="name"):
        Signer(name, SEED)


def test_a_key_file_is_private_and_made_once(tmp_path: Path) -> None:
    file = tmp_path / "instance" / "checkpoint.key"
    made = make_key(file)
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert read_key(file).public == made.public
    assert made.public.name.startswith("gristmark-")
    with pytest.raises(StateError, match="already"):
        make_key(file)
    assert read_key(file).public == made.public
    assert make_key(tmp_path / "other", name="harbour-shed").public.name == "harbour-shed"


def test_a_missing_key_is_never_made_in_silence(tmp_path: Path) -> None:
    file = tmp_path / "checkpoint.key"
    with pytest.raises(StateError, match="missing"):
        read_key(file)
    assert not file.exists()


@pytest.mark.parametrize(
    "content", ["", "name only", "a\nzz\n", "a\n00ff\n", "a\nb\nc\n", "ä\n00\n"]
)
def test_a_broken_key_file_is_refused(tmp_path: Path, content: str) -> None:
    file = tmp_path / "checkpoint.key"
    file.touch(mode=0o600)
    file.write_text(content, encoding="utf-8")
    with pytest.raises(StateError, match="not readable"):
        read_key(file)


def test_a_key_file_others_may_read_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "checkpoint.key"
    make_key(file)
    file.chmod(0o640)
    with pytest.raises(StateError, match="other users"):
        read_key(file)


def test_no_error_shows_the_key(tmp_path: Path) -> None:
    file = tmp_path / "checkpoint.key"
    file.touch(mode=0o600)
    seed = SEED.hex()
    file.write_text(f"two words\n{seed}\n", encoding="ascii")
    with pytest.raises(StateError) as caught:
        read_key(file)
    assert seed not in f"{caught.value} {caught.value.cure} {caught.value.fields}"
    assert seed not in repr(vars(SIGNER)) + repr(SIGNER)
    assert checkpoint.PURPOSE in SIGNER.origin
