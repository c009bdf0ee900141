"""Text that a page cuts off or that runs over its box, found in the browser: words are longer in French and
German than in English."""

from __future__ import annotations

from playwright.sync_api import Page

SHORTENED = ".fold__says, .welds__what"
"""Digests that are cut to their width on purpose: what they say stands in full below, or a tap away."""

CLIPPED = """
shortened => {
  const SLACK = 1.5, found = [], canvas = document.createElement("canvas").getContext("2d");
  const told = (element, text, why) =>
    found.push(`${why}: ${element.tagName.toLowerCase()}.${element.className}: ${text.trim().slice(0, 80)}`);
  const hides = style => ["hidden", "clip"].includes(style.overflowX);
  const scrolls = style => ["auto", "scroll"].includes(style.overflowX);
  const isSeen = element => element.checkVisibility({visibilityProperty: true, contentVisibilityAuto: true});
  const isInline = style => style.display === "inline" || style.display === "contents";
  // How far to the right text may go: to the end of its box, and of each box around it that hides the rest.
  const ends = element => {
    let box = element, end = null;
    while (box && isInline(getComputedStyle(box))) box = box.parentElement;
    for (let each = box; each; each = each.parentElement) {
      const style = getComputedStyle(each), edge = each.getBoundingClientRect();
      if (end === null) end = edge.right;
      if (scrolls(style)) return each === box ? Infinity : end;
      if (hides(style)) end = Math.min(end, edge.right);
    }
    return end;
  };
  // Read aloud alone: kept in a box of one pixel.
  const forEars = element => {
    for (let each = element; each; each = each.parentElement)
      if (each.clientWidth === 1 && each.clientHeight === 1) return true;
    return false;
  };
  const widest = (element, words) => {
    const style = getComputedStyle(element);
    canvas.font = `${style.fontStyle} ${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
    return canvas.measureText(words).width + parseFloat(style.paddingLeft) + parseFloat(style.paddingRight);
  };
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const node = walker.currentNode, element = node.parentElement;
    if (!node.data.trim() || element.closest(`script, style, option, textarea, svg, ${shortened}`)) continue;
    if (!isSeen(element) || forEars(element)) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    const rects = [...range.getClientRects()].filter(each => each.width > 0);
    if (!rects.length) continue;
    const end = ends(element);
    const right = Math.max(...rects.map(each => each.right));
    const bottom = Math.max(...rects.map(each => each.bottom));
    if (right > end + SLACK) told(element, node.data, "runs over its box");
    for (let each = element; each && each !== document.body; each = each.parentElement) {
      const style = getComputedStyle(each), edge = each.getBoundingClientRect();
      if (["auto", "scroll"].includes(style.overflowY)) break;
      if (["hidden", "clip"].includes(style.overflowY) && bottom > edge.bottom + 2 * SLACK) {
        told(element, node.data, "is cut below");
        break;
      }
    }
  }
  for (const each of document.querySelectorAll("input[placeholder], select")) {
    if (!isSeen(each)) continue;
    const shown = each.matches("select") ? each.selectedOptions[0]?.text : each.value ? "" : each.placeholder;
    const words = shown ?? "";
    if (widest(each, words) > each.clientWidth + SLACK) told(each, words, "is cut in its field");
  }
  return [...new Set(found)];
}
"""


def clipped_on(page: Page) -> list[str]:
    """Each text of the page that is cut or runs over its box, and whether the page scrolls sideways."""
    wide, width = page.evaluate("[document.documentElement.scrollWidth, window.innerWidth]")
    found = page.evaluate(CLIPPED, SHORTENED)
    return [*found, *([f"the page scrolls sideways: {wide} of {width} px"] if wide > width else [])]
