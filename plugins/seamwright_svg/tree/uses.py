"""Counting what `use` elements unfold to, before anything is unfolded."""

from __future__ import annotations

from seamwright.plugins.api import Limits, SeamwrightError

from .parse import Node, Tree


def check_uses(tree: Tree, name: str, limits: Limits) -> None:
    """Refuses uses of other files, in circles, too deep or too many.

    Raises SeamwrightError: svg.unsafe, svg.limit. The count is arithmetic: a drawing that would
    unfold to 10^30 elements is refused as fast as a plain one is read.
    """
    all_nodes = tree.root.walk()
    if not any(node.tag == "use" for node in all_nodes):
        return
    sizes: dict[Node, tuple[int, int]] = {}  # element -> elements and depth, uses unfolded
    state: dict[Node, int] = {}  # 1 while its content is being counted

    def targets(node: Node) -> Node | None:
        href = node.href.strip()
        if href and not href.startswith("#"):
            raise SeamwrightError.of(
                "svg.unsafe",
                f'{node.named()} refers to something outside the file ("{href[:80]}")',
                file=name,
                line=node.line,
                hint="put the part into the drawing itself; other files are never opened",
            )
        return tree.original(node)

    # Depth first without recursion: a node is finished when all it needs is finished.
    stack: list[tuple[Node, bool]] = [(tree.root, False)]
    while stack:
        node, ready = stack.pop()
        if node in sizes:
            continue
        needs = list(node.children)
        if node.tag == "use":
            target = targets(node)
            if target is not None:
                needs.append(target)
        if not ready:
            if state.get(node) == 1:
                continue
            state[node] = 1
            stack.append((node, True))
            for need in needs:
                if need in sizes:
                    continue
                if state.get(need) == 1:
                    raise SeamwrightError.of(
                        "svg.unsafe",
                        f"{node.named()} uses itself, directly or in a circle",
                        file=name,
                        line=node.line,
                        hint="unlink the clones in the drawing program and save again",
                    )
                stack.append((need, False))
            continue
        count = 1 + sum(sizes[n][0] for n in needs)
        depth = 1 + max((sizes[n][1] for n in needs), default=0)
        if count > limits.instances and count > tree.count:
            raise SeamwrightError.of(
                "svg.limit",
                f"clones in the drawing unfold to {count:.3g} elements or more; "
                f"the limit is {limits.instances}",
                file=name,
                line=node.line,
                hint=f"if you trust the file, raise the limit: --limit instances={2 * count}",
            )
        if depth > limits.depth:
            raise SeamwrightError.of(
                "svg.limit",
                f"clones in the drawing nest {depth} deep; the limit is {limits.depth}",
                file=name,
                line=node.line,
                hint=f"if you trust the file, raise the limit: --limit depth={2 * depth}",
            )
        sizes[node] = (count, depth)
        state[node] = 2
