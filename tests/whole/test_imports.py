"""Rooms use the rooms below them. What an import linter cannot see is looked at here."""

from __future__ import annotations

import ast
import configparser
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.apps import apps
from django.conf import settings
from django.db.models import Model

ROOT = Path(settings.BASE_DIR)
CODE = ROOT / "repairs"
WIRING = {"apps.py", "models.py", "admin.py", "urls.py"}


# Steps inside a room; one that has two of them may have them the wrong way round.
STEPS = {"urls", "views", "tasks", "forms", "actions", "access", "models", "refusals"}
# The log itself, and those who show it, verify it or tell its story.
READ_THE_LOG = {"audit", "bench", "demo", "keep", "management"}


def told(contract: str, field: str) -> str:
    """What the import linter is told there."""
    contracts = configparser.ConfigParser()
    contracts.read(ROOT / ".importlinter")
    return contracts[f"importlinter:contract:{contract}"][field]


def rooms_told(contract: str, field: str) -> set[str]:
    return set(re.findall(r"repairs\.(\w+)", told(contract, field)))


def storeys() -> dict[str, int]:
    """How high each room lies, as the import linter is told: 0 is the highest."""
    lines = told("rooms", "layers").split("\n")
    rows = [re.findall(r"repairs\.(\w+)", line) for line in lines]
    return {room: height for height, row in enumerate(filter(None, rows)) for room in row}


def room_of(model: type[Model]) -> str:
    return model.__module__.split(".")[1]


def own_models() -> list[type[Model]]:
    return list(apps.get_app_config("repairs").get_models())


def targets() -> Iterator[tuple[str, type[Model], type[Model]]]:
    """Yield (what, its model, the model it points to) of every relation inside the house."""
    own = own_models()
    for model in own:
        for field in [*model._meta.fields, *model._meta.local_many_to_many]:
            target: Any = field.related_model
            if target in own:
                yield f"{model.__name__}.{field.name}", model, target


def files() -> list[Path]:
    return [file for file in sorted(CODE.rglob("*.py")) if "migrations" not in file.parts]


def test_the_rooms_of_all_models_are_known_to_the_linter():
    assert {room_of(model) for model in own_models()} <= set(storeys())


def test_every_room_stands_in_the_contracts_that_hold_for_it():
    """A contract that does not name a room holds nothing of it, and the linter says nothing."""
    rooms = {
        file.parent.name: {step.stem for step in file.parent.glob("*.py")} & STEPS
        for file in CODE.glob("*/__init__.py")
        if file.parent.name not in {"migrations", "formats"}
    }

    stepped = {room for room, steps in rooms.items() if len(steps) > 1}
    assert set(rooms) - {"demo", "measures", "management"} <= set(storeys())
    assert stepped - rooms_told("inside", "containers") == set()
    writers = set(rooms) - READ_THE_LOG - {"gauges"}
    assert writers - rooms_told("log", "source_modules") == set()


def test_no_relation_points_to_a_higher_room():
    height = storeys()
    user = apps.get_model(settings.AUTH_USER_MODEL)

    found = [(what, room_of(own), room_of(to)) for what, own, to in targets() if to is not user]

    assert len(found) > 20
    assert [what for what, own, other in found if height[other] < height[own]] == []


def test_only_the_user_is_pointed_to_from_below():
    height = storeys()
    user = apps.get_model(settings.AUTH_USER_MODEL)

    upward = {
        target for _what, own, target in targets() if height[room_of(target)] < height[room_of(own)]
    }

    assert upward <= {user}


def test_every_model_is_made_known_by_the_wiring():
    from_rooms = {
        node.module
        for node in ast.walk(ast.parse((CODE / "models.py").read_text(encoding="utf-8")))
        if isinstance(node, ast.ImportFrom)
    }

    kept = [*CODE.glob("*/models.py"), *CODE.glob("*/*_models.py")]
    assert {f"repairs.{file.parent.name}.{file.stem}" for file in kept} == from_rooms


def test_no_room_asks_the_registry_for_a_model():
    asking = [file.name for file in files() if "get_model(" in file.read_text(encoding="utf-8")]

    assert asking == []


def test_no_room_takes_from_the_wiring():
    rooms = [file for file in files() if file.parent != CODE]

    taking = [
        file.relative_to(CODE)
        for file in rooms
        if re.search(r"^from repairs(\.models)? import [A-Z]", file.read_text("utf-8"), re.M)
    ]

    assert taking == []


def inner_imports(file: Path) -> Iterator[str]:
    """Yield where a function imports something, unless the line or the file says why by a noqa."""
    text = file.read_text(encoding="utf-8")
    if re.search(r"^# ruff: noqa: PLC0415 - \w+", text, re.M):
        return
    lines = text.splitlines()
    for outer in ast.walk(ast.parse(text)):
        if isinstance(outer, ast.FunctionDef | ast.AsyncFunctionDef):
            for node in ast.walk(outer):
                if not isinstance(node, ast.Import | ast.ImportFrom):
                    continue
                if "PLC0415" not in lines[node.lineno - 1]:
                    yield f"{file.relative_to(ROOT)}:{node.lineno}"


def test_no_function_imports_anything_unless_it_says_why():
    hidden = [place for file in files() for place in inner_imports(file)]

    assert hidden == []


def test_no_room_listens_to_signals():
    listening = [
        file.relative_to(CODE)
        for file in files()
        if "django.db.models.signals" in file.read_text(encoding="utf-8")
    ]

    assert listening == []
