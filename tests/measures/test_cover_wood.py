"""The table of wood and air is drawn small here; whole by ``manage.py measure cover``."""

from __future__ import annotations

from repairs.measures.cover_wood import woods


def test_the_table_is_drawn_and_its_shares_are_near_what_is_promised():
    lines: list[str] = []

    figures = woods(25, lines.append)

    assert len(lines) == 5
    assert {figure.unit for name, figure in figures.items() if "covered" in name} == {
        "% within 1.96 u"
    }
    shares = {name: figure.value for name, figure in figures.items() if name.endswith("_covered")}
    assert len(shares) == 5
    # 75 draws in the smallest cell: three standard deviations are 7.5 %.
    assert all(87.0 <= share <= 100.0 for share in shares.values()), shares
    assert figures["wood_two_limits_wrong_word"].met
