"""The house's signature on its papers: its key, PAdES, time stamps, proofs for later years.

Nothing here knows a paper by more than its bytes; only ``repairs.press`` and the page and command
that change the key ask it.
"""
