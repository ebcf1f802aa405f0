"""What nobody types and every form must answer: words, files and bodies for the fuzzing."""

from __future__ import annotations

from random import Random

LONG = 70_000  # characters, as a pasted book has them

WORDS: tuple[str, ...] = (
    "",
    " ",
    "\x00",
    "a\x00b",
    "\x1b[31m",
    "\r\nX-Header: 1",
    "\u202eabc",
    "\ufeff",
    "e\u0301" * 400,
    "\U0001f3bb" * 300,
    "…’“”«»\u00a0\u202f",
    "x" * LONG,
    "é" * 5_000,
    "'\"><script>alert(1)</script>",
    "=1+cmd|'/C calc'!A0",
    "%s%d%(x)s{0}{{ x }}{% load %}",
    "' OR 1=1; --",
    "../../../etc/passwd",
    "//example.invalid/",
    "javascript:alert(1)",
    "None",
    "null",
    "true",
    "[]",
    "{}",
    "on",
)
NUMBERS: tuple[str, ...] = (
    "0",
    "-0",
    "-1",
    "1e3",
    "1e999",
    "-1e-999",
    "NaN",
    "Infinity",
    "0x10",
    "9" * 400,
    "0." + "0" * 3_000 + "1",
    "2147483648",
    "9223372036854775808",
    "-9223372036854775809",
    "18446744073709551616",
    "1.7976931348623157e309",
    "1,2,3",
    "1.234.567,89",
    "½",
    "²",
    "١٢٣",
    "५",
    "--5",
    "5 mm",
    "−3",
)
DAYS: tuple[str, ...] = (
    "9999-12-31",
    "9999-12-31T23:59",
    "0001-01-01",
    "0001-01-01T00:00",
    "0000-00-00",
    "10000-01-01",
    "2026-02-30",
    "2026-03-29T02:30",
    "2026-10-25T02:30",
    "31/12/2026",
    "-1-1-1",
    "24:00",
    "12:99",
    "2026-W53",
)
EVERY = (*WORDS, *NUMBERS, *DAYS)
FILES: tuple[tuple[str, bytes], ...] = (
    ("empty.jpg", b""),
    ("cut.jpg", b"\xff\xd8\xff\xe0\x00\x10JFIF\x00\x01\x01"),
    ("cut.png", b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\xff\xff\xff\xff\xff\xff\xff\xff\x08\x06"),
    ("none.heic", b"\x00\x00\x00\x18ftypheic" + b"\x00" * 64),
    ("none.pdf", b"%PDF-1.7\n1 0 obj<</Type/Catalog/Pages 1 0 R>>endobj\nstartxref\n9\n%%EOF"),
    ("codes.pdf", b"%PDF-1.7\n" + b"ABCD-EFGH-JKMN " * 4_000),
    ("laugh.xml", b'<!DOCTYPE a [<!ENTITY b "c">]><a>&b;&b;</a>'),
    ("open.xml", b"<Invoice xmlns='urn:x'><ID>"),
    ("other.xml", "<?xml version='1.0' encoding='utf-16'?><a/>".encode("utf-16")),
    ("air.csv", b"Date;RH\n31/12/9999 25:61;nan\n\x00;\xff\xfe\n" * 50),
    ("air.csv", b'"' * 4_000),
    ("deep.json", b"[" * 20_000),
    ("nan.json", b'{"points": [[NaN, Infinity]], "taps": {"\\ud800": -1e999}}'),
    ("..\\..\\x.exe", b"MZ" + bytes(200)),
    ("\u202egpj.exe", bytes(range(256)) * 16),
    ("long" * 80 + ".jpg", b"GIF89a" + b"\xff" * 32),
)
BODIES: tuple[tuple[str, bytes], ...] = (
    ("application/json", b""),
    ("application/json", b"[]"),
    ("application/json", b'"x"'),
    ("application/json", b"{\xff"),
    ("application/json", b"[" * 20_000),
    ("application/json", b'{"shape": [], "points": {"a": NaN}, "seen": 1e999, "taps": []}'),
    ("application/json", b'{"points": [[1e308, "x"], null], "size": -9, "name": 7, "offset": []}'),
    ("application/xml", b"<a"),
    ("text/plain", b"\x00" * 50),
    ("multipart/form-data; boundary=x", b"--x\r\nContent-Disposition: form-data\r\n\r\n\x00"),
    ("multipart/form-data", b"no boundary"),
    ("application/x-www-form-urlencoded", b"%ff%fe=%00&" * 900),
    ("application/x-www-form-urlencoded; charset=utf-9", b"a=1"),
)


def word(chance: Random) -> str:
    """One of them all."""
    return chance.choice(EVERY)


def like(kind: str, chance: Random) -> str:
    """A word for a field of that kind: mostly one that looks as if it belonged there."""
    fitting = {"number": NUMBERS, "date": DAYS, "datetime-local": DAYS, "time": DAYS}.get(kind)
    return chance.choice(fitting) if fitting and chance.random() < 0.7 else word(chance)
