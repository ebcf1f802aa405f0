"""What an entry sheet is: which values a gauge wants, how they are typed, what is plausible."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from django.utils.functional import Promise

from repairs.charts.svg import Chart
from repairs.gauges.base.verdict import Limit

Text = str | Promise
Kind = Literal["number", "choice", "text", "tick", "long", "file"]
Plain = Mapping[str, Any]


@dataclass(frozen=True)
class Cell:
    """One value to type: beyond ``least``..``most`` refused, beyond ``likely`` asked about.

    ``units`` are the units that its choices mean; ``unit_of`` names the cell whose choice is the
    unit of this one, and ``shows_mm`` what the usual tool shows: a whole set within less is asked
    about. ``recalled``: offered as it was typed last for this instrument.

    ``seldom``: a column that most readings leave empty; where rows come one by one it stays away
    until something was typed in it. ``melody``: it is about the first, second, … melody string, and
    bears the name that the kind of instrument has for that. ``is_pitch``: typed in Hz or as a note.
    ``likely_span``: how far the least and the most of a column usually lie apart.
    """

    key: str
    label: Text
    unit: Text = ""
    kind: Kind = "number"
    required: bool = True
    least: float | None = None
    most: float | None = None
    likely: tuple[float, float] | None = None
    choices: tuple[tuple[str, Text], ...] = ()
    help: Text = ""
    default: str = ""
    index: bool = False
    melody: int = 0
    units: tuple[tuple[str, str], ...] = ()
    unit_of: str = ""
    shows_mm: float = 0.0
    recalled: bool = False
    seldom: bool = False
    is_pitch: bool = False
    likely_span: tuple[float, float] | None = None


@dataclass(frozen=True)
class Advice:
    """One line of a prescription, before it is written down."""

    code: str
    target: str = ""
    amount: float | None = None
    u: float | None = None
    unit: str = ""
    irreversible: bool = False
    details: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class FigureValue:
    """A figure read out of an output, ready to be judged. ``name`` tells rows of a table apart.

    ``is_judged`` is False where no limit, not even one of the house, tells whether it is good.
    """

    key: str
    label: Text
    value: float
    u: float | None
    unit: str
    digits: int
    limit: Limit | None
    is_judged: bool = True


@dataclass(frozen=True)
class Sheet:
    """Everything the readings room knows of one gauge."""

    gauge: str
    label: Text
    says: Text
    to_input: Callable[[Plain, Sequence[Plain]], dict[str, Any]]
    figures: Callable[[Plain, Plain], list[FigureValue]]
    needs: Literal["", "may_turn", "may_string", "may_play"] = ""
    cells: tuple[Cell, ...] = ()
    columns: tuple[Cell, ...] = ()
    advice: Callable[[Plain, Plain], list[Advice]] = lambda _given, _output: []
    chart: Callable[[Plain, Plain, Plain | None, Plain | None], Chart | None] = (
        lambda _given, _output, _before, _output_before: None
    )
    # The picture shows the instrument from a side: of a left-handed one it is the mirror image.
    is_handed: bool = False
    first_rows: Callable[[Any], list[dict[str, str]]] = lambda _case: []
    warnings: Callable[[Plain], list[Text]] = lambda _output: []
    limits: Mapping[str, tuple[Text, Limit]] = field(default_factory=dict)
    # Limits of the house that the gauge itself has to know: figure → name of its input.
    limit_inputs: Mapping[str, str] = field(default_factory=dict)
    # What a choice of unit is worth in mm.
    scales: Mapping[str, float] = field(default_factory=dict)
    least_rows: int = 0
    least_cells: int = 0
    keeps_gaps: bool = False
    most_rows: int = 400
