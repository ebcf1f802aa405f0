from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone

from repairs.bench.board import board
from repairs.bench.docket import docket
from repairs.bench.search import find
from repairs.cases.access import case_for
from repairs.people.access import SignedInRequest, needs
from repairs.treatment.clocks import is_left_on, open_spell


@needs("view")
def home(request: SignedInRequest) -> HttpResponse:
    today = timezone.localdate()
    spell = open_spell(request.user)
    facts = {
        "board": board(today),
        "today": today,
        "spell": spell,
        "left_on": spell is not None and is_left_on(spell, timezone.now()),
    }
    return render(request, "bench/home.html", facts)


@needs("view")
def search(request: SignedInRequest) -> HttpResponse:
    words = request.GET.get("q", "").strip()
    return render(request, "bench/search.html", {"words": words, "found": find(words)})


@needs("view")
def case_page(request: SignedInRequest, number: str) -> HttpResponse:
    case = case_for(request.user, number, to="view")
    return render(request, "bench/case.html", docket(case))
