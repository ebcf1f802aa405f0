"""Findings that tell of harm by the air: their cause, and what dry or damp air opens."""

BY_AIR = "climate"  # the cause of a finding
# Wood, joints, inlays, coats that lift.
OPENED = (
    "crack", "check", "split", "open_joint", "delamination", "shrinkage_gap", "warp", "cupping",
    "flaking", "blister", "inlay_lifting", "inlay_crack",
)  # fmt: skip
