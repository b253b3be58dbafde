"""Which small faults can be put into a file of source, and the file with one of them in it.

Kinds: a comparison moved to or off its boundary, or turned; + for -, * for /, and the like; 'and'
for 'or'; a 'not' or a minus left out; a number one higher (whole) or a tenth higher; True for
False; a branch never or always taken; a loop left at once; a value not given back; a statement
left out.  Not drawn, for nobody could tell: docstrings, type hints, decorators, the words of a
`Mistake`, text with values in it, assertions, `__all__`, the keywords of a class.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass

#: For each comparison: the boundary moved (where there is one), and the opposite.
TURNED: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE), ast.LtE: (ast.Lt, ast.Gt), ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt), ast.Eq: (ast.NotEq,), ast.NotEq: (ast.Eq,), ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,), ast.In: (ast.NotIn,), ast.NotIn: (ast.In,),
}  # fmt: skip
SWAPPED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult, ast.Mod: ast.Mult, ast.Pow: ast.Mult,
    ast.BitOr: ast.BitAnd, ast.BitAnd: ast.BitOr,
}  # fmt: skip
#: Fields whose content is no place for a fault.
NO_PLACE = {"annotation", "returns", "decorator_list", "keywords of a class"}
#: Left out as a whole.
WITHOUT = (ast.Assert, ast.JoinedStr, ast.Import, ast.ImportFrom)

Step = tuple[str, int | None]


@dataclass(frozen=True)
class Fault:
    """One change of one file: the way to its node, what is done, and the function it is in."""

    way: tuple[Step, ...]
    kind: str
    variant: int
    line: int
    #: Name and first line of the outermost function around it; None outside of functions.
    inside: tuple[str, int] | None


def faults_of(text: str) -> list[Fault]:
    """Every fault that can be put into a source text, in the order of its tree."""
    return list(_below(ast.parse(text), (), None, ""))


def with_fault(text: str, fault: Fault) -> tuple[ast.Module, str, str]:
    """The tree with the fault in it (its lines as they were), and the words before and after."""
    tree = ast.parse(text)
    above: ast.AST = tree
    *way, (field, at) = fault.way
    for name, index in way:
        below = getattr(above, name)
        above = below if index is None else below[index]
    held = getattr(above, field)
    node: ast.AST = held if at is None else held[at]
    before = _told(node)
    new = ast.copy_location(_changed(node, fault), node)
    ast.fix_missing_locations(new)
    after = _told(new)
    if at is None:
        setattr(above, field, new)
    else:
        held[at] = new
    return tree, before, after


def _told(node: ast.AST) -> str:
    """A node in one line; of a statement with a body only its head."""
    text = ast.unparse(node).strip().splitlines()
    return text[0] if isinstance(node, ast.stmt) else " ".join(text)


def _below(
    node: ast.AST, way: tuple[Step, ...], inside: tuple[str, int] | None, prefix: str
) -> Iterator[Fault]:
    line = getattr(node, "lineno", 0)
    for kind, many in _kinds(node):
        for variant in range(many):
            yield Fault(way, kind, variant, line, inside)
    for field, value in ast.iter_fields(node):
        if field in NO_PLACE or (isinstance(node, ast.ClassDef) and field == "keywords"):
            continue
        if field == "ops" or (isinstance(node, ast.Call) and field == "func"):
            if isinstance(value, ast.AST):
                yield from _below(value, (*way, (field, None)), inside, prefix)
            continue
        of, under = inside, prefix
        if field == "body" and inside is None:
            if isinstance(node, ast.FunctionDef):
                first = min([node.lineno, *(word.lineno for word in node.decorator_list)])
                of = (prefix + node.name, first)
            elif isinstance(node, ast.ClassDef):
                under = f"{prefix}{node.name}."
        if isinstance(value, list):
            for index, one in enumerate(value):
                if isinstance(one, ast.AST) and not _left_out(one):
                    yield from _below(one, (*way, (field, index)), of, under)
        elif isinstance(value, ast.AST) and not _left_out(value):
            yield from _below(value, (*way, (field, None)), of, under)


def _left_out(node: ast.AST) -> bool:
    if isinstance(node, WITHOUT):
        return True
    if isinstance(node, ast.Expr):
        return isinstance(node.value, ast.Constant)
    if isinstance(node, ast.Call):
        return isinstance(node.func, ast.Name) and node.func.id == "Mistake"
    if isinstance(node, ast.If):
        return isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING"
    if isinstance(node, ast.Assign):
        first = node.targets[0]
        return isinstance(first, ast.Name) and (
            first.id == "__all__" or "TypeVar" in ast.unparse(node.value)
        )
    if isinstance(node, ast.AnnAssign):
        return "TypeAlias" in ast.unparse(node.annotation)
    return False


def _kinds(node: ast.AST) -> list[tuple[str, int]]:
    """The kinds of fault that this very node can carry, each with its number of variants."""
    if isinstance(node, ast.Compare):
        return [("comparison", len(TURNED[type(node.ops[0])]))]
    if isinstance(node, ast.BinOp | ast.AugAssign):
        kinds = []
        sides = (node.left, node.right) if isinstance(node, ast.BinOp) else (node.value,)
        words = any(
            isinstance(one, ast.JoinedStr)
            or (isinstance(one, ast.Constant) and isinstance(one.value, str))
            for one in sides
        )
        if type(node.op) in SWAPPED and not words:
            kinds.append(("operator", 1))
        if isinstance(node, ast.AugAssign):
            kinds.append(("statement", 1))
        return kinds
    if isinstance(node, ast.BoolOp):
        return [("and/or", 1)]
    if isinstance(node, ast.UnaryOp):
        return [("sign", 1)] if isinstance(node.op, ast.Not | ast.USub) else []
    if isinstance(node, ast.Constant):
        return [("number", 1)] if type(node.value) in (int, float, bool) else []
    if isinstance(node, ast.If | ast.IfExp):
        return [("branch", 2)]
    if isinstance(node, ast.While):
        return [("branch", 1)]
    if isinstance(node, ast.comprehension):
        return [("branch", 1)] if node.ifs else []
    if isinstance(node, ast.Return):
        nothing = node.value is None or (
            isinstance(node.value, ast.Constant) and node.value.value is None
        )
        return [] if nothing else [("return", 1)]
    if isinstance(node, ast.Expr):
        return [("statement", 1)] if isinstance(node.value, ast.Call) else []
    if isinstance(node, ast.Raise | ast.Continue):
        return [("statement", 1)]
    if isinstance(node, ast.Assign):
        into = isinstance(node.targets[0], ast.Attribute | ast.Subscript)
        return [("statement", 1)] if into else []
    return []


def _changed(node: ast.AST, fault: Fault) -> ast.AST:
    if isinstance(node, ast.stmt) and fault.kind == "statement":
        return ast.Pass()
    if isinstance(node, ast.Compare):
        other = TURNED[type(node.ops[0])][fault.variant]()
        return ast.Compare(node.left, [other, *node.ops[1:]], node.comparators)
    if isinstance(node, ast.BinOp):
        return ast.BinOp(node.left, SWAPPED[type(node.op)](), node.right)
    if isinstance(node, ast.AugAssign):
        return ast.AugAssign(node.target, SWAPPED[type(node.op)](), node.value)
    if isinstance(node, ast.BoolOp):
        return ast.BoolOp(ast.Or() if isinstance(node.op, ast.And) else ast.And(), node.values)
    if isinstance(node, ast.UnaryOp):
        return node.operand
    if isinstance(node, ast.Constant):
        return ast.Constant(_other(node.value))
    if isinstance(node, ast.If):
        return ast.If(ast.Constant(bool(fault.variant)), node.body, node.orelse)
    if isinstance(node, ast.While):
        return ast.While(ast.Constant(False), node.body, node.orelse)
    if isinstance(node, ast.IfExp):
        return node.body if fault.variant else node.orelse
    if isinstance(node, ast.comprehension):
        return ast.comprehension(node.target, node.iter, [], node.is_async)
    assert isinstance(node, ast.Return), ast.dump(node)
    return ast.Return(ast.Constant(None))


def _other(value: object) -> int | float | bool:
    """Another number near by; a whole one is one higher, another a tenth."""
    assert isinstance(value, int | float)
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return value + 1
    return value * 1.1 if abs(value) > 1e-6 else value + 0.01
