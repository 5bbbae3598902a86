// Search, filter and order of a collection. A dish that a tick concerns stays in the list only if it is complete and
// none of the ticked allergens is contained, to be checked or "may contain". Rows are laid out a hundred at a time.
"use strict";
(() => {
  const PAGE = 100;
  const byId = (id) => document.getElementById(id);
  const [form, words, which, order] = ["controls", "words", "which", "order"].map(byId);
  const [count, body, more] = ["count", "dishes", "more"].map(byId);
  const boxes = [...form.querySelectorAll("input[name=hide]")];
  const folded = (text) => text.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase();
  const dishes = JSON.parse(byId("data").textContent).map(
    ([dish, file, complete, notUnderstood, notCounted, energy, salt, contains, check, may, has, names], place) => ({
      dish, file, complete: complete === 1, notUnderstood, notCounted, energy, salt, contains, check, may, place,
      has: [...has].reduce((bits, number) => bits | (1 << parseInt(number, 16)), 0),
      text: folded(`${dish}\n${file}\n${names}`),
    }),
  );
  // The sentences come with the page, their fields in braces.
  const filled = (sentence, fields) => sentence.replace(/\{(\w+)\}/g, (_, name) => fields[name]);
  const said = body.dataset;
  let left = dishes;
  let shown = 0;

  const made = (tag, text, name) => {
    const element = document.createElement(tag);
    if (text) element.textContent = text;
    if (name) element.className = name;
    return element;
  };

  const cell = (text, name, tag, label) => {
    const made_ = made("td", "", text ? name : "empty");
    made_.setAttribute("role", "cell");
    if (!text) return made_;
    const narrow = made("span", "", "narrow");
    narrow.append(label ? made("span", label, `tag ${tag}`) : tag, " ");
    made_.append(narrow, label ? text : made("span", text, "nowrap"));
    return made_;
  };

  const missing = (one) => {
    const element = made("span", "", "missing");
    element.append(made("strong", said.notComplete));
    if (one.notUnderstood) element.append(` ${filled(said.openLines, { lines: one.notUnderstood })}`);
    if (one.notCounted) element.append(` ${filled(said.leftOut, { lines: one.notCounted })}`);
    return element;
  };

  const row = (one) => {
    const line = made("tr");
    line.setAttribute("role", "row");
    const head = made("th", one.dish);
    head.setAttribute("scope", "row");
    head.setAttribute("role", "rowheader");
    if (!one.complete) head.append(missing(one));
    head.append(made("span", one.file, "file"));
    line.append(
      head,
      cell(one.energy[1], "number", said.energy),
      cell(one.salt[1], "number", said.salt),
      cell(one.contains, "contains", "tag-contains", said.contains),
      cell(one.check, "check", "tag-check", said.check),
      cell(one.may, "may", "tag-may", said.may),
    );
    return line;
  };

  const show = () => {
    body.append(...left.slice(shown, shown + PAGE).map(row));
    shown = Math.min(left.length, shown + PAGE);
    more.hidden = shown === left.length;
    more.textContent = filled(more.dataset.more, { left: left.length - shown });
  };

  const say = (ticked) => {
    const open = left.filter((one) => !one.complete).length;
    const sentence = left.length < dishes.length ? count.dataset.some : count.dataset.all;
    count.replaceChildren(made("strong", filled(sentence, { left: left.length, number: dishes.length, open })));
    if (ticked.length) count.append(` ${filled(count.dataset.hidden, { allergens: ticked.join(", ") })}`);
  };

  const names = new Intl.Collator("en-GB"); // one for all: it is asked a hundred thousand times
  const compare = (key, up) => (one, other) => {
    if (key === "dish") return names.compare(one.dish, other.dish);
    const [a, b] = [one[key][0], other[key][0]];
    if (a === null || b === null) return (a === null) - (b === null); // what is not known stands last, whichever way
    return up ? a - b : b - a;
  };

  const draw = () => {
    const wanted = folded(words.value).split(/\s+/).filter(Boolean);
    const ticked = boxes.filter((box) => box.checked);
    const hides = boxes.reduce((bits, box, number) => bits | (box.checked ? 1 << number : 0), 0);
    const complete = which.value === "" ? null : which.value === "1";
    left = dishes.filter(
      (one) =>
        (complete === null || one.complete === complete) &&
        (!hides || (one.complete && !(one.has & hides))) &&
        wanted.every((word) => one.text.includes(word)),
    );
    const [key, way] = order.value.split(" ");
    if (key) left.sort(compare(key, way === "up"));
    body.replaceChildren();
    shown = 0;
    say(ticked.map((box) => box.value));
    show();
  };

  form.addEventListener("input", draw);
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("reset", () => setTimeout(draw));
  more.addEventListener("click", show);
  window.addEventListener("pageshow", (event) => event.persisted && draw());
  draw();
  form.hidden = false;
  document.querySelector("table").hidden = false;
})();
