"""Whether a rule was ever asked: every place of it that can complain is counted when its last condition is looked at.

A rule that no variant reaches cannot fail. So each rule is compiled once more with a counter before what decides
whether it complains: the last part of the innermost `if` around a `yield`, or of the generator that it yields from.
"""

from __future__ import annotations

import ast
import inspect
import textwrap
from collections import Counter
from collections.abc import Callable
from typing import Any, TypeVar

Checked = TypeVar("Checked", bound=Callable[..., Any])

MET: Counter[str] = Counter()
"""How often each place was asked: `rules_of_work.py:120 sleeps_well`."""
PLACES: list[str] = []
"""Every place that can complain."""
_COUNTER = "_place_was_met_"


def counted(rule: Checked) -> Checked:
    """The same rule, counting how often each place that can complain was asked."""
    source = textwrap.dedent(inspect.getsource(rule))
    first = inspect.getsourcelines(rule)[1]
    file = inspect.getsourcefile(rule) or ""
    tree = ast.parse(source)
    function = tree.body[0]
    assert isinstance(function, ast.FunctionDef)
    function.decorator_list = []
    _Counting(f"{file.rpartition('/')[2]}:{{}} {rule.__name__}", first - 1).visit(function)
    ast.increment_lineno(ast.fix_missing_locations(tree), first - 1)
    rule.__globals__[_COUNTER] = _met
    made: dict[str, Any] = {}
    exec(compile(tree, file, "exec"), rule.__globals__, made)
    found: Checked = made[rule.__name__]
    return found


def _met(place: str) -> bool:
    MET[place] += 1
    return True


class _Counting(ast.NodeTransformer):
    """Puts the counters in."""

    def __init__(self, name: str, before: int) -> None:
        self._name, self._before = name, before

    def _counter(self, line: int) -> ast.expr:
        place = self._name.format(line + self._before)
        PLACES.append(place)
        return ast.Call(ast.Name(_COUNTER, ast.Load()), [ast.Constant(place)], [])

    def visit_If(self, node: ast.If) -> ast.AST:
        """An `if` whose body complains at once."""
        if any(map(_is_yield, node.body)):
            node.test = self._last(node.test, node.lineno)
            node.body = [x if _is_yield(x) else self.visit(x) for x in node.body]
        else:
            node.body = [self.visit(x) for x in node.body]
        node.orelse = [ast.copy_location(self._asked(x), x) if _is_yield(x) else self.visit(x) for x in node.orelse]
        return node

    def visit_For(self, node: ast.For) -> ast.AST:
        """What is wrong is what the loop goes over: asked when that is looked for."""
        if any(map(_is_yield, node.body)):
            node.iter = _after(self._counter(node.lineno), node.iter)
            node.body = [x if _is_yield(x) else self.visit(x) for x in node.body]
            return node
        return self.generic_visit(node)

    def visit_Try(self, node: ast.Try) -> ast.AST:
        """What is wrong is that something is refused, or that it is not: asked when it is tried."""
        node.body.insert(0, ast.Expr(self._counter(node.lineno)))
        return node

    def visit_Expr(self, node: ast.Expr) -> ast.AST:
        """What complains with nothing that decides around it; behind a refusal, that decides."""
        is_behind = isinstance(node.value, ast.Yield)
        return self._asked(node) if _is_yield(node) and not is_behind else node

    def _asked(self, node: ast.stmt) -> ast.stmt:
        assert isinstance(node, ast.Expr)
        value = node.value
        if isinstance(value, ast.YieldFrom) and isinstance(value.value, ast.GeneratorExp):
            tests = value.value.generators[-1].ifs
            if tests:
                tests[-1] = self._last(tests[-1], node.lineno)
                return node
        if isinstance(value, (ast.Yield, ast.YieldFrom)) and value.value is not None:
            value.value = _after(self._counter(node.lineno), value.value)
        return node

    def _last(self, test: ast.expr, line: int) -> ast.expr:
        """The test with the counter before the last thing that must hold."""
        if isinstance(test, ast.BoolOp) and isinstance(test.op, ast.And):
            test.values[-1] = _after(self._counter(line), test.values[-1])
            return test
        return _after(self._counter(line), test)


def _after(counter: ast.expr, value: ast.expr) -> ast.expr:
    """`counter and value`: the counter is always true."""
    return ast.BoolOp(ast.And(), [counter, value])


def _is_yield(statement: ast.stmt) -> bool:
    return isinstance(statement, ast.Expr) and isinstance(statement.value, (ast.Yield, ast.YieldFrom))
