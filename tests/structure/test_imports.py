"""How the modules hang together: no import circles, not even through imports inside functions or for types alone."""

from __future__ import annotations

import grimp
import networkx as nx


def test_no_module_imports_another_that_imports_it_again() -> None:
    """A circle of modules can only be read as one; imports inside functions count as well."""
    imports = grimp.build_graph("logbook", exclude_type_checking_imports=False)
    graph = nx.DiGraph()
    for module in imports.modules:
        graph.add_edges_from((module, imported) for imported in imports.find_modules_directly_imported_by(module))
    circles = [sorted(circle) for circle in nx.strongly_connected_components(graph) if len(circle) > 1]
    assert circles == []
