"""A fingerprint as words that two people can read to each other, in any language.

Proquints: sixteen bits are five letters, consonants and vowels in turn (D. S. Wilkerson, “A
Proposal for Proquints: Identifiers that are Readable, Spellable, and Pronounceable”, 2009).
"""

from __future__ import annotations

CONSONANTS, VOWELS = "bdfghjklmnprstvz", "aiou"
WORDS = 5  # eighty bits: nobody makes another certificate that begins with the same ones


def spoken(digest: bytes, words: int = WORDS) -> list[str]:
    """The first bits of a digest as words."""
    return [_word(int.from_bytes(digest[at : at + 2], "big")) for at in range(0, 2 * words, 2)]


def _word(bits: int) -> str:
    picked = (
        (CONSONANTS, 12, 15), (VOWELS, 10, 3), (CONSONANTS, 6, 15), (VOWELS, 4, 3),
        (CONSONANTS, 0, 15),
    )  # fmt: skip
    return "".join(letters[bits >> shift & mask] for letters, shift, mask in picked)


def in_pairs(digest: bytes) -> str:
    """The whole digest as phones show it."""
    return digest.hex(":").upper()
