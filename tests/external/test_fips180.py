"""SHA-256 against the published vectors: FIPS 180-4's examples (NIST, "SHA256.pdf" of the example values) and CAVP.

Written down from memory of the documents; a slip would show as a failure, since the library was made by others.
"""

from __future__ import annotations

import pytest

from ropewright.store.canonical import entry_hash

VECTORS = {
    "empty": ("", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"),
    "one block": ("abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"),
    "two blocks": (
        "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
    ),
    "896 bits": (
        "abcdefghbcdefghicdefghijdefghijkefghijklfghijklmghijklmnhijklmnoijklmnopjklmnopqklmnopqrlmnopqrsmnopqrstnopqrstu",
        "cf5b16a778af8380036ce59e7b0492370b249b11e8f07a51afac45037afee9d1",
    ),
    "a million": ("a" * 1_000_000, "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0"),
}


@pytest.mark.parametrize(("text", "digest"), VECTORS.values(), ids=VECTORS.keys())
def test_the_hash_of_an_entry_is_sha_256(text: str, digest: str) -> None:
    assert entry_hash(text) == digest
