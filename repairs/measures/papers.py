"""Condition reports of 40 and 120 photos against two floors: img2pdf and ReportLab."""

from __future__ import annotations

from collections.abc import Sequence
from importlib.util import find_spec
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from repairs.measures import pictures
from repairs.measures.harness import (
    Cost,
    Figure,
    MeasureError,
    Plan,
    Say,
    command,
    cpu,
    facts,
    in_turns,
    ratio,
)

TOOLS = ("img2pdf", "reportlab")


def measure(plan: Plan, say: Say) -> dict[str, Figure]:
    """Print the reports and their floors in turns; return the figures by name."""
    missing = [tool for tool in TOOLS if find_spec(tool) is None]
    if missing:
        raise MeasureError(
            f"The floors need {' and '.join(missing)}, which are test tools: "
            "“python3 manage.py test --version” installs them, then measure again."
        )
    few, many = plan.photos
    with TemporaryDirectory(prefix="measure-papers-") as name:
        folder = Path(name)
        say(f"drawing and developing pictures for {many} photos")
        files = pictures.originals(folder / "originals", plan.originals, plan.sensor)
        pictures.fill_store(folder, files, many)
        costs = in_turns(_commands(folder, few, many), folder, plan.rounds, say)
    return {**_ratios(costs, few, many), **_sizes(costs, few, many)}


def _commands(folder: Path, few: int, many: int) -> dict[str, Sequence[str]]:
    modules = {"report": "press_once", "img2pdf": "embed_once", "reportlab": "layout_once"}
    return {
        f"{name}_{count}": command(module, folder, count)
        for count in (few, many)
        for name, module in modules.items()
    }


def _ratios(costs: dict[str, list[Cost]], few: int, many: int) -> dict[str, Figure]:
    spent = {name: cpu(runs) for name, runs in costs.items()}

    def against(above: str, below: str, goal: str | None) -> Figure:
        """CPU of one way over that of another."""
        return Figure(ratio(spent[above], spent[below]), "× CPU", goal)

    return {
        f"report_{few}_to_img2pdf": against(f"report_{few}", f"img2pdf_{few}", "<= 12"),
        f"report_{few}_to_reportlab": against(f"report_{few}", f"reportlab_{few}", "<= 7"),
        f"report_{many}_to_{few}": against(f"report_{many}", f"report_{few}", "<= 1.5"),
        f"report_{many}_to_img2pdf": against(f"report_{many}", f"img2pdf_{many}", None),
        f"report_{many}_to_reportlab": against(f"report_{many}", f"reportlab_{many}", None),
        **{f"{name}_cpu": Figure(median(runs), "s of CPU") for name, runs in spent.items()},
    }


def _sizes(costs: dict[str, list[Cost]], few: int, many: int) -> dict[str, Figure]:
    peaks = {count: facts(costs[f"report_{count}"], "peak_mb") for count in (few, many)}
    figures = {
        f"report_{many}_to_{few}_peak": Figure(
            ratio(peaks[many], peaks[few]), "× peak memory", "<= 1.35"
        )
    }
    for count in (few, many):
        one = costs[f"report_{count}"][-1]
        figures[f"report_{count}_peak"] = Figure(median(peaks[count]), "MB")
        figures[f"report_{count}_pdf"] = Figure(one.fact("size_mb"), "MB")
        figures[f"report_{count}_pages"] = Figure(one.fact("pages"), "pages")
    return figures
