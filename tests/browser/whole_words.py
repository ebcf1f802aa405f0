"""What enlarged letters lose: words cut off, squeezed, words over words, bars over all."""

from __future__ import annotations

from playwright.sync_api import Page

MOST_OF_WINDOW = 0.5  # that bars which stay in sight may take


def lost(page: Page) -> list[str]:
    """One line for each place; nothing when everything can be read."""
    return list(page.evaluate(LOST, MOST_OF_WINDOW))


# Words in a drawing are scaled with it, and what no eye sees is cut to a point on purpose. What
# stays in sight while the page moves lies over other words by its nature: its height is judged.
LOST = """
most => {
    const said = node => node.textContent.trim().slice(0, 30);
    const told = node => `${node.tagName}.${node.className} ${said(node)}`;
    const styles = new Map();
    const style = node => {
        if (!styles.has(node)) styles.set(node, getComputedStyle(node));
        return styles.get(node);
    };
    const chain = node => {
        const above = [];
        for (let one = node; one && one !== document.documentElement; one = one.parentElement) {
            above.push(one);
        }
        return above;
    };
    const stays = one => ["fixed", "sticky"].includes(style(one).position);
    // On purpose: for ears only, or the first lines of a text that opens where it is tapped.
    const unseen = one => style(one).clipPath !== "none" || one.matches(".skip")
        || style(one).webkitLineClamp !== "none";
    const hides = one => /hidden|clip/.test(style(one).overflowX + style(one).overflowY);
    const words = [];
    const found = [];
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walker.nextNode()) {
        const node = walker.currentNode.parentElement;
        if (!walker.currentNode.data.trim()) continue;
        if (node.closest("svg, option, script, noscript")) continue;
        if (!node.checkVisibility({ visibilityProperty: true, opacityProperty: true })) continue;
        const above = chain(node);
        if (above.some(unseen)) continue;
        const range = document.createRange();
        range.selectNodeContents(walker.currentNode);
        const boxes = [...range.getClientRects()].filter(box => box.width > 1 && box.height > 1);
        const moving = !above.some(stays);
        // A column in which each line holds half a word was meant to be wider.
        const lines = new Set(boxes.map(box => Math.round(box.top))).size;
        const held = walker.currentNode.data.trim().replace(/\\s+/g, " ").length / lines;
        if (lines >= 5 && held < 5) found.push(`squeezed: ${told(node)}`);
        for (const box of boxes) {
            const cut = above.find(one => {
                if (!hides(one)) return false;
                const edge = one.getBoundingClientRect();
                return box.right > edge.right + 2 || box.bottom > edge.bottom + box.height / 3
                    || box.left < edge.left - 2 || box.top < edge.top - box.height / 3;
            });
            if (cut) found.push(`cut off: ${told(node)} by ${cut.tagName}.${cut.className}`);
            if (moving) words.push({ box, node });
        }
    }
    words.sort((one, other) => one.box.top - other.box.top);
    words.forEach(({ box, node }, place) => {
        for (const { box: next, node: other } of words.slice(place + 1)) {
            if (next.top > box.bottom - 4) break;
            const wide = Math.min(box.right, next.right) - Math.max(box.left, next.left);
            const high = Math.min(box.bottom, next.bottom) - next.top;
            // The lines of one paragraph lie a little into one another, with nothing drawn there.
            if (wide > 4 && high > box.height / 2) found.push(`${told(node)} over ${told(other)}`);
        }
    });
    const bars = [...document.body.querySelectorAll("*")].filter(stays)
        .filter(one => one.checkVisibility({ visibilityProperty: true }));
    const outer = bars.filter(one => !bars.some(bar => bar !== one && bar.contains(one)));
    const wide = outer.filter(one => one.getBoundingClientRect().width > innerWidth / 2);
    const high = wide.reduce((sum, one) => sum + one.getBoundingClientRect().height, 0);
    if (high > innerHeight * most) found.push(`bars take ${high} of ${innerHeight}`);
    return [...new Set(found)];
}
"""
