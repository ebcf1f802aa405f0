"""What the command says: beforehand, and when all is in place."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from textwrap import indent

from django.utils.translation import gettext as _

from repairs.keep.install.certificates import ROOT
from repairs.keep.install.plan import Plan
from repairs.keep.install.steps import Step
from repairs.keep.trust import read_root


def changes(wanted: Sequence[Step], *, with_texts: bool) -> Iterator[str]:
    """A line a step; with the text of each file in a trial."""
    if wanted:
        yield _("This will be done:")
    for step in wanted:
        yield f"· {step.words}"
        if with_texts and step.shown:
            yield indent(step.shown.rstrip(), "    ")


def what_now(plan: Plan) -> Iterator[str]:
    """How people come in: the address, the first principal, the phones."""
    wishes = plan.wishes
    if not plan.has_systemd and plan.is_real:
        yield _("Start by hand, in this order (the last one once a day):")
        yield from (f"    {line}" for line in plan.by_hand())
    yield _("The casebook: %(address)s/") % {"address": wishes.address}
    hire = "sautereau hire --username NAME --role principal"
    yield _("Whoever heads the workshop is let in by: %(command)s") % {"command": hire}
    root = None if wishes.acme else read_root(wishes.at(ROOT))
    if root is not None:
        address = f"http://{wishes.name}/trust/"
        said = _("Phones open %(address)s first. These words must stand there too: %(words)s")
        yield said % {"address": address, "words": " ".join(root.words)}
        yield _drawn(address)


def _drawn(address: str) -> str:
    """The address as a code for the camera, in signs of the terminal."""
    import segno  # noqa: PLC0415 - drawn once in the life of a machine

    out = io.StringIO()
    segno.make(address, error="m", micro=False).terminal(out, compact=True)
    return out.getvalue()
