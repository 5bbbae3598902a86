"""Where words and pictures of an opened page stand: what lies on what, what runs out of its cell or the window.

Letters differ from machine to machine; a page has to hold with all of them, so it is looked at in several:

    path.write_text(lettered(html, "wide"))
    with browser.page(path, 390) as page:
        assert collisions(page) == []
"""

from __future__ import annotations

import re

from nutrilab.sheets.lettering import faces
from tests.browser import Page

# as shipped; a fifth wider, as DejaVu Sans and Verdana; narrower, as Arial Narrow; the machine's own, whatever it is
LETTERS = {"shipped": 100, "wide": 120, "narrow": 82, "own": 0}

# Lines of text as boxes, less a fifth above and below (letters reach there only by a stroke), cut off where something
# clips them. Each is compared with all others, and with its cell and the window.
COLLISIONS = """(() => {
  const SLACK = 1.5, found = [], boxes = [];
  for (const e of document.querySelectorAll("details")) e.open = true;  // what is folded away has to hold too
  const clipped = (box, e) => {
    for (; e && e !== document.documentElement; e = e.parentElement) {
      const nested = e.tagName === "svg" && e.parentElement.closest("svg");
      if (!nested && getComputedStyle(e).overflowX === "visible") continue;
      const by = e.tagName === "svg" && nested ? area(e) : e.getBoundingClientRect();
      box = {left: Math.max(box.left, by.left), right: Math.min(box.right, by.right),
             top: Math.max(box.top, by.top), bottom: Math.min(box.bottom, by.bottom), say: box.say, e: box.e};
    }
    return box;
  };
  const area = (svg) => {  // of a picture in a picture, whose own box grows with what it holds
    const to = svg.parentElement.closest("svg").getScreenCTM(), at = svg.createSVGPoint();
    const point = (x, y) => { at.x = x; at.y = y; return at.matrixTransform(to); };
    const x = svg.x.baseVal.value, y = svg.y.baseVal.value;
    const a = point(x, y), b = point(x + svg.width.baseVal.value, y + svg.height.baseVal.value);
    return {left: a.x, top: a.y, right: b.x, bottom: b.y};
  };
  const unseen = (e) => e && (getComputedStyle(e).clipPath !== "none" || unseen(e.parentElement));  // but read out
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const node = walk.currentNode, e = node.parentElement;
    if (!node.data.trim() || e.closest("title, desc, script, style, option") || !e.getClientRects().length) continue;
    if (unseen(e)) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    for (const r of range.getClientRects()) {
      const trim = r.height / 5;
      const box = clipped({left: r.left, right: r.right, top: r.top + trim, bottom: r.bottom - trim,
                           say: node.data.trim().slice(0, 60), e}, e);
      if (box.right - box.left > SLACK && box.bottom - box.top > SLACK) boxes.push(box);
    }
  }
  const text = boxes.length;
  for (const e of document.querySelectorAll("svg rect")) {
    if (e.closest("defs")) continue;
    const r = e.getBoundingClientRect();
    boxes.push({left: r.left, right: r.right, top: r.top, bottom: r.bottom, say: "a bar", e});
  }
  const width = document.documentElement.clientWidth;
  boxes.forEach((a, i) => {
    if (a.left < -SLACK || a.right > width + SLACK) found.push(`out of the window: ${a.say}`);
    const cell = i < text && a.e.closest("td, th");
    if (cell && getComputedStyle(cell).display === "table-cell") {
      const c = cell.getBoundingClientRect();
      if (a.left < c.left - SLACK || a.right > c.right + SLACK) found.push(`out of its cell: ${a.say}`);
    }
    for (let j = i + 1; j < boxes.length; j++) {
      const b = boxes[j];
      if (i >= text) break;
      const over = Math.min(a.right, b.right) - Math.max(a.left, b.left);
      const high = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
      if (over > SLACK && high > SLACK) found.push(`${a.say} on ${b.say}`);
    }
  });
  return found;
})()"""


def lettered(html: str, letters: str) -> str:
    """A page in letters of another width (a key of `LETTERS`); "own": in whatever this machine has."""
    found = faces()
    assert found in html
    if letters == "own":
        return html.replace(found, "")
    sized = re.sub(r"(font-weight: \d+;)", rf"\1 size-adjust: {LETTERS[letters]}%;", found)
    return html.replace(found, sized)


def collisions(page: Page) -> list[str]:
    """Words that lie on words or bars, or run out of their cell or the window; none is right."""
    found: list[str] = page.js(COLLISIONS)
    return found
