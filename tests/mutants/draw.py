"""Small wrong changes of the code, one at a time; the tests should notice nearly all of them.

A mutant changes one place inside one function: a comparison, a sign, a number, an "and", a
condition, or a call whose result nobody asks for. What stands outside of functions (tables,
fields of models, limits with a name) is not changed here: the tests of fixtures and migrations
look after it.
"""

from __future__ import annotations

import ast
import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

HOUSE = Path(__file__).resolve().parents[2]
ROOMS = {
    "money": ("money.py", "law", "einvoice", "invoices", "payments", "books", "estimates"),
    "consent": ("estimates/consent",),
    "proof": ("treatment", "papers/treatment"),
    "gauges": ("gauges",),
    "log": ("audit",),
}
COMPARISONS: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
}
OPERATORS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
}


@dataclass(frozen=True, order=True)
class Mutant:
    """One changed place: the file, the line, which place of the file, and what it says."""

    file: str
    line: int
    place: int
    before: str
    after: str
    room: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: {self.before}  →  {self.after}"


def files_of(room: str) -> list[Path]:
    """The modules of that group of rooms; addresses and lists of words are no logic."""
    found: list[Path] = []
    for part in ROOMS[room]:
        path = HOUSE / "repairs" / part
        found += [path] if path.is_file() else sorted(path.rglob("*.py"))
    others = [HOUSE / "repairs" / "estimates" / "consent"] if room == "money" else []
    return [
        file
        for file in found
        if file.name != "urls.py" and not any(other in file.parents for other in others)
    ]


def mutants_of(file: Path, room: str) -> list[Mutant]:
    """Every mutant of one module, in the order in which its places are read."""
    tree = ast.parse(file.read_text(encoding="utf-8"))
    name = file.relative_to(HOUSE).as_posix()
    found = []
    for place, (node, changed) in enumerate(places(tree)):
        words = (_words(node), _words(changed))
        found.append(Mutant(name, node.lineno, place, *words, room))
    return found


def changed_tree(file: Path, place: int) -> ast.Module:
    """The module with that one place changed."""
    tree = ast.parse(file.read_text(encoding="utf-8"))
    node, changed = list(places(tree))[place]
    _Swap(node, changed).visit(tree)
    return ast.fix_missing_locations(tree)


def draw(rooms: Sequence[str], count: int, seed: int) -> list[Mutant]:
    """``count`` mutants, an even share from each of those rooms; the same ones for one seed.

    Even shares, as the log has few places and the gauges thousands, and both must hold.
    """
    chance = random.Random(seed)  # noqa: S311 - a draw, no secret
    chosen: list[Mutant] = []
    for number, room in enumerate(rooms):
        there = [one for file in files_of(room) for one in mutants_of(file, room)]
        share = (count - len(chosen)) // (len(rooms) - number)
        chosen += chance.sample(there, min(share, len(there)))
    return sorted(chosen)


class _Swap(ast.NodeTransformer):
    def __init__(self, node: ast.AST, changed: ast.AST) -> None:
        self.node, self.changed = node, changed

    def visit(self, node: ast.AST) -> ast.AST:
        if node is self.node:
            return ast.copy_location(self.changed, node)
        return self.generic_visit(node)


def places(tree: ast.Module) -> Iterator[tuple[ast.expr | ast.stmt, ast.AST]]:
    """Each place inside a function with what would stand there instead."""
    for function in _outermost(tree):
        for statement in function.body:
            yield from _inside(statement)


def _outermost(node: ast.AST) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef):
            yield child
        elif isinstance(child, ast.ClassDef | ast.If | ast.With | ast.Try):
            yield from _outermost(child)


def _inside(node: ast.AST) -> Iterator[tuple[ast.expr | ast.stmt, ast.AST]]:
    if isinstance(node, ast.Assert | ast.JoinedStr):
        return  # an assertion is for the type checker; an f-string only words a name
    for changed in _changes(node):
        assert isinstance(node, ast.expr | ast.stmt)
        yield node, changed
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "decorator_list", "type_comment"):
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST):
                yield from _inside(child)


def _changes(node: ast.AST) -> Iterator[ast.AST]:
    if isinstance(node, ast.BinOp | ast.AugAssign) and type(node.op) in OPERATORS:
        yield from _other_operator(node)
    elif isinstance(node, ast.Compare) and len(node.ops) == 1:
        other = COMPARISONS[type(node.ops[0])]
        yield ast.Compare(node.left, [other()], node.comparators)
    elif isinstance(node, ast.BoolOp):
        yield ast.BoolOp(ast.Or() if isinstance(node.op, ast.And) else ast.And(), node.values)
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
        yield node.operand
    elif isinstance(node, ast.Constant):
        yield from _other_constants(node)
    elif isinstance(node, ast.Expr) and isinstance(node.value, ast.Call):
        yield _uncalled(node.value)
    elif isinstance(node, ast.If | ast.IfExp | ast.While) and _is_plain(node.test):
        yield _negated(node)


def _uncalled(call: ast.Call) -> ast.stmt:
    """Nothing; of a call of the parent’s method “super()” alone.

    A function that names its class holds a cell for it, and takes no code that holds none.
    """
    of = call.func.value if isinstance(call.func, ast.Attribute) else None
    if isinstance(of, ast.Call) and isinstance(of.func, ast.Name) and of.func.id == "super":
        return ast.Expr(of)
    return ast.Pass()


def _other_operator(node: ast.BinOp | ast.AugAssign) -> Iterator[ast.AST]:
    other = OPERATORS[type(node.op)]()
    if isinstance(node, ast.AugAssign):
        yield ast.AugAssign(node.target, other, node.value)
    elif not _is_text(node):
        yield ast.BinOp(node.left, other, node.right)


def _other_constants(node: ast.Constant) -> Iterator[ast.AST]:
    if isinstance(node.value, bool):
        yield ast.Constant(not node.value)
    elif isinstance(node.value, int | float):
        yield ast.Constant(node.value + 1)


def _is_plain(test: ast.expr) -> bool:
    """A condition that holds no operator of its own, which would be changed by itself."""
    return isinstance(test, ast.Name | ast.Attribute | ast.Call | ast.Subscript | ast.NamedExpr)


def _negated(node: ast.If | ast.IfExp | ast.While) -> ast.AST:
    test = ast.UnaryOp(ast.Not(), node.test)
    if isinstance(node, ast.IfExp):
        return ast.IfExp(test, node.body, node.orelse)
    return type(node)(test=test, body=node.body, orelse=node.orelse)


def _is_text(node: ast.BinOp) -> bool:
    sides = (node.left, node.right)
    return any(
        isinstance(side, ast.JoinedStr)
        or (isinstance(side, ast.Constant) and isinstance(side.value, str))
        for side in sides
    )


def _words(node: ast.AST) -> str:
    first = ast.unparse(node).strip().splitlines()[0]
    return first if len(first) <= 90 else f"{first[:89]}…"
