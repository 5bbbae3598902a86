// Order and filter of the list of dishes. A dish stays in the list only if it is complete and none of the ticked
// allergens is contained, to be checked or "may contain"; whatever cannot be read is hidden with the rest.
"use strict";
(() => {
  const form = document.getElementById("controls");
  const order = document.getElementById("order");
  const count = document.getElementById("count");
  const body = document.getElementById("dishes");
  const rows = [...body.rows];
  const search = document.getElementById("search"); // the list of sheets has none

  const stays = (row, ticked) => {
    const { complete, has } = row.dataset;
    if (complete !== "yes" || has === undefined) return false;
    const named = has.split(" ");
    return !ticked.some((allergen) => named.includes(allergen));
  };

  // The sentences come with the page, their fields in braces.
  const filled = (sentence, fields) => sentence.replace(/\{(\w+)\}/g, (_, name) => fields[name]);
  const all = count.textContent;

  const matches = (row, wanted) => wanted.every((word) => (row.dataset.words ?? "").includes(word));

  const say = (left, ticked) => {
    const strong = document.createElement("strong");
    count.replaceChildren(strong);
    if (!ticked.length && left === rows.length) {
      strong.textContent = all;
      return;
    }
    const { left: some, none, hidden } = count.dataset;
    strong.textContent = left ? filled(some, { left, hidden: rows.length - left }) : none;
    if (ticked.length) count.append(` ${filled(hidden, { allergens: ticked.join(", ") })}`);
  };

  const filter = () => {
    const ticked = [...form.querySelectorAll("input:checked")].map((box) => box.value);
    const wanted = (search?.value ?? "").toLowerCase().split(/\s+/).filter(Boolean);
    let left = 0;
    for (const row of rows) {
      row.hidden = (ticked.length > 0 && !stays(row, ticked)) || !matches(row, wanted);
      if (!row.hidden) left += 1;
    }
    say(left, ticked);
  };

  const compare = (key, up) => (one, other) => {
    const [a, b] = [one.dataset[key], other.dataset[key]];
    if (key === "dish") return a.localeCompare(b, "en-GB");
    if (a === "" || b === "") return (a === "") - (b === ""); // what is not known stands last, whichever way
    return up ? a - b : b - a;
  };

  const sort = () => {
    const [key, way] = order.value.split(" ");
    body.append(...(key ? [...rows].sort(compare(key, way === "up")) : rows));
  };

  const draw = () => {
    filter();
    sort();
  };
  form.addEventListener("change", draw);
  search?.addEventListener("input", draw);
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("reset", () => setTimeout(draw));
  window.addEventListener("pageshow", draw); // a browser that comes back may have kept the ticks
  draw();
  form.hidden = false;
})();
