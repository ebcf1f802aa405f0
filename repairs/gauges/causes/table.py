"""What is known of causes before anything is read: priors, symptoms, readings, odds, minutes.

Plain data in (one fixture a family of instruments), frozen figures out. Words for readers stay in
the fixture: the room asks for them by key.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from repairs.gauges.causes.density import Spec

Row = Mapping[str, Any]


@dataclass(frozen=True)
class Figure:
    """A figure of a gauge that bears on causes, and how it is spread where all is well.

    ``span``: over how much a stray value may fall, in ``unit``. ``least``: a value below it says
    no more than this one, for less is only better (the usual of a spread about zero).
    """

    key: str
    gauge: str
    healthy: Spec
    span: float
    unit: str = ""
    least: float | None = None


@dataclass(frozen=True)
class Odds:
    """What multiplies the odds of a cause: a finding (term, parts) or a word of the history.

    ``under``/``over``: it counts only when so many days have passed at most, or at least.
    """

    what: str
    times: float
    parts: tuple[str, ...] = ()
    under: float | None = None
    over: float | None = None


@dataclass(frozen=True)
class Cause:
    """One cause: prior share of the cases with a complaint, and what it does.

    ``by_value`` names the symptoms whose P follows from a figure: ``swing`` from amplitude over
    lift, ``top_force`` from the force against the limit of the highest key. ``check_by`` is the
    gauge that settles it, where its check is a reading. ``undo_minutes``: what it costs to put it
    out of the way for a moment and hear again; 0 where that is not done.
    """

    key: str
    prior: float
    symptoms: Mapping[str, float]
    by_value: Mapping[str, str]
    readings: Mapping[str, Spec]
    findings: tuple[Odds, ...]
    history: tuple[Odds, ...]
    minutes: float
    check_by: str = ""
    undo_minutes: float = 0.0


@dataclass(frozen=True, eq=False)
class Table:
    """All of one family of instruments. ``given`` maps a parent to the odds it multiplies.

    ``sensitivity``: how often the check of a cause that is there finds it; ``specificity``: how
    often the check of one that is not finds nothing. Two tables are the same only when they are
    one: what is foreseen of a figure is kept by it.
    """

    leak: float
    causes: tuple[Cause, ...]
    figures: Mapping[str, Figure]
    symptoms: tuple[str, ...]
    given: Mapping[str, Mapping[str, float]]
    looks: Mapping[str, float]
    sensitivity: float = 0.9
    specificity: float = 0.95
    before: Table | None = None

    @property
    def drawn(self) -> Table:
        """The table as it was before cases sharpened it: figures are spread alike in both."""
        return self.before or self

    def cause(self, key: str) -> Cause:
        """The cause of that key; KeyError when there is none."""
        return next(one for one in self.causes if one.key == key)


def read_table(
    plain: Mapping[str, Any],
    families: Sequence[str] | None = None,
    gauges: Collection[str] | None = None,
) -> Table:
    """Read a fixture; with ``families``, only causes with a symptom that fits the instrument, and
    with ``gauges``, only looks at sheets that it has."""
    symptoms = [row for row in plain["symptoms"] if _fits(row, families)]
    heard = {row["key"] for row in symptoms}
    causes = [_cause(row) for row in plain["causes"] if _fits(row, families)]
    causes = [one for one in causes if not one.symptoms or heard & set(one.symptoms)]
    figures = {row["key"]: _figure(row) for row in plain["figures"]}
    model = plain["model"]
    return Table(
        leak=float(model["leak"]),
        causes=tuple(causes),
        figures=figures,
        symptoms=tuple(row["key"] for row in symptoms),
        given=model.get("given", {}),
        looks={
            row["gauge"]: float(row["minutes"])
            for row in plain["looks"]
            if gauges is None or row["gauge"] in gauges
        },
        sensitivity=float(model["sensitivity"]),
        specificity=float(model["specificity"]),
    )


def _fits(row: Row, families: Sequence[str] | None) -> bool:
    wanted = set(row.get("families", ()))
    return families is None or not wanted or bool(wanted & set(families))


def _figure(row: Row) -> Figure:
    healthy = row["healthy"]
    less_is_better = healthy[0] == "rayleigh" or row.get("less_is_better", False)
    least = float(healthy[1]) if less_is_better else None
    return Figure(row["key"], row["gauge"], healthy, row["span"], row.get("unit", ""), least)


def _cause(row: Row) -> Cause:
    return Cause(
        key=row["key"],
        prior=row["prior_pct"] / 100.0,
        symptoms=row["symptoms"],
        by_value=row.get("by_value", {}),
        readings=row["readings"],
        findings=tuple(
            Odds(one["term"], one["times"], tuple(one.get("parts", ()))) for one in row["findings"]
        ),
        history=tuple(
            Odds(one["what"], one["times"], (), one.get("under_days"), one.get("over_days"))
            for one in row["history"]
        ),
        minutes=row["minutes"],
        check_by=row.get("check_by", ""),
        undo_minutes=float(row.get("undo_minutes", 0)),
    )
