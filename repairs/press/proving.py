"""Fetch the proofs of an issued paper: its time stamp, and what will be asked for in later years.

Only the job loads this module, and with it the library that signs.
"""

from __future__ import annotations

import datetime as dt

from repairs.press.models import Paper
from repairs.press.proof_models import PaperProof
from repairs.press.proofs import STAMPS, Proof, Sort, add_later, proofs_of, stamped
from repairs.press.signing import evidence, stamps
from repairs.press.signing.house_key import present_key
from repairs.storage.reading import read_kept

PATIENCE_S = 20.0


def prove(paper: Paper, *, at: dt.datetime) -> list[PaperProof]:
    """Fetch and keep what the paper lacks and can be had; return it.

    Raises StampServerError or ProofsNotFoundError; what came before that is kept. Run twice, it
    finds what is there.
    """
    made = []
    if stamp := _stamp(paper, at):
        made.append(stamp)
    if proof := _validation(paper, at):
        made.append(proof)
    return made


def _stamp(paper: Paper, now: dt.datetime) -> PaperProof | None:
    server = stamps.server(patience_s=PATIENCE_S)
    if server is None or any(sort in proofs_of(paper) for sort in STAMPS):
        return None
    stamp = server.over(bytes.fromhex(paper.sha256))
    return add_later(paper, stamped(Sort.STAMP, stamp), at=now)


def _validation(paper: Paper, now: dt.datetime) -> PaperProof | None:
    """Nothing for a paper that is not signed, and where nobody can be asked who was revoked."""
    known = proofs_of(paper)
    key = present_key()
    if key is None or Sort.SIGNATURE not in known or Sort.VALIDATION in known:
        return None
    tokens = [_file(known[sort]) for sort in STAMPS if sort in known]
    found = evidence.gather(_file(known[Sort.SIGNATURE]), tokens)
    if found.is_empty:
        return None
    server = stamps.server(patience_s=PATIENCE_S)
    data = evidence.proof(bytes.fromhex(paper.sha256), key, found, at=now, server=server)
    return add_later(paper, Proof(Sort.VALIDATION, data, now, key.name, key.issuer), at=now)


def _file(proof: PaperProof) -> bytes:
    return read_kept(proof.file_name, proof.sha256)
