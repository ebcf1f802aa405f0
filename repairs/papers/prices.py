"""Whether a paper tells prices, and so is not for everyone of the house."""

from __future__ import annotations

import json
import re

from repairs.cases.models import Case
from repairs.language.refusal import WorkshopError
from repairs.papers.kinds import compile_paper
from repairs.people.access import may, require
from repairs.people.models import User
from repairs.press.models import Paper, PaperDraft

# As money_words() writes a sum: two places, a no-break space, three letters of the currency.
SUM = re.compile(r"\d[.,]\d\d\u00a0[A-Z]{3}\b")


def tells_prices(paper: Paper) -> bool:
    """Whether a sum stands anywhere in the data that the paper was made from."""
    return _has_sum(paper.data)


def require_readable(user: User, paper: Paper) -> None:
    """Raise NotAllowedHereError when the paper tells prices and the person may see none."""
    if tells_prices(paper):
        require(user, "see_prices")


def require_draft_readable(user: User, case: Case, draft: PaperDraft) -> None:
    """The same of a preview, of which no data is kept: it is compiled once more. One that can be
    compiled no longer is taken for one that tells prices.
    """
    if may(user, "see_prices"):
        return
    try:
        sheet = compile_paper(draft.kind, case, language=draft.language, made_at=draft.made_at)
    except WorkshopError:
        require(user, "see_prices")
    else:
        if _has_sum(sheet.data()):
            require(user, "see_prices")


def _has_sum(data: object) -> bool:
    return bool(SUM.search(json.dumps(data, ensure_ascii=False)))
