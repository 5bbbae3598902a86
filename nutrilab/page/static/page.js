// The live part of the page: looks as the cook types, sends what a button asks for, shows the parts that come back.
// Without it every button works by itself; nothing is computed here.
"use strict";
(() => {
  const PAUSE = 80; // [ms] after the last letter
  const SPEAK = 1200; // [ms] of quiet before the answer is read out
  const form = document.getElementById("bench");
  const byId = (id) => document.getElementById(id);

  // What can be unfolded, each by its words and which of those it is.
  const named = (into) => {
    const seen = {};
    return [...into.querySelectorAll("details")].map((one) => {
      const words = one.querySelector("summary").textContent;
      seen[words] = (seen[words] || 0) + 1;
      return [one, `${words} ${seen[words]}`];
    });
  };

  const show = (id, html) => {
    const into = byId(id);
    if (!into) return;
    const open = new Set(named(into).filter(([one]) => one.open).map(([, name]) => name));
    const holder = document.createElement("template");
    holder.innerHTML = html; // made by our own server, every text in it escaped, and no script may run in it
    into.replaceChildren(holder.content);
    for (const [one, name] of named(into)) if (open.has(name)) one.open = true;
  };

  const bench = () => {
    const text = byId("text");
    let asked = 0;
    let waiting = null;
    let acting = false;
    let dirty = false;
    let timer = 0;
    let voice = 0;

    const fields = (what) => {
      const sent = new URLSearchParams(new FormData(form));
      sent.set("do", what);
      return sent;
    };

    const tell = (sentence) => {
      const said = document.createElement("p");
      said.className = "warning";
      said.textContent = sentence;
      byId("said").replaceChildren(said);
    };

    // Where an open line stands now: the row of its words, the nearest of several.
    const rowOf = (panel) => {
      const words = panel.querySelector('[name="of"]').value;
      const at = Number(panel.querySelector('[name="line"]').value);
      const away = (row) => Math.abs(Number(row.dataset.line) - at);
      const rows = [...document.querySelectorAll("[data-of]")].filter((row) => row.dataset.of === words);
      return rows.sort((one, other) => away(one) - away(other))[0];
    };

    // Typing goes on beside an open line: it stays open, with what was written into it.
    const keepOpen = (panel) => {
      const row = rowOf(panel);
      const button = row?.querySelector(".open");
      panel.querySelector("[data-gone]").hidden = Boolean(row);
      if (row) {
        row.append(panel);
        panel.querySelector('[name="line"]').value = row.dataset.line;
      } else byId("part-lines").prepend(panel);
      if (button) {
        button.setAttribute("aria-expanded", "true");
        button.value = "close";
        button.textContent = button.dataset.close;
        button.setAttribute("aria-label", button.dataset.closeLine);
      }
    };

    // What was written into the fields while the answer was on its way: the answer knows nothing of it.
    const since = (sent) => {
      const now = new FormData(form);
      return [...now.keys()].filter((name) => sent.has(name) && String(now.get(name)) !== sent.get(name))
        .map((name) => [name, String(now.get(name))]);
    };

    const put = (fields) => {
      for (const [name, value] of fields) {
        const field = form.elements[name];
        if (field && field !== text && field.type !== "hidden") field.value = value;
      }
    };

    const draw = (found, sent) => {
      const panel = byId("panel");
      const later = since(sent);
      const focused = document.activeElement;
      const [id, from, to] = [focused?.id, focused?.selectionStart, focused?.selectionEnd];
      for (const [name, html] of Object.entries(found.parts)) show(name === "said" ? "said" : `part-${name}`, html);
      if (panel && !("file" in found.parts)) keepOpen(panel);
      put(later);
      const again = id && byId(id);
      if (again && again !== document.activeElement) {
        again.focus({ preventScroll: true });
        if (from !== null && from !== undefined) again.setSelectionRange?.(from, to);
      }
      document.title = document.querySelector("h1").textContent;
      clearTimeout(voice);
      voice = setTimeout(() => {
        byId("spoken").textContent = found.spoken;
      }, SPEAK);
    };

    const ask = async (address, body, signal) => {
      const headers = { "x-part": "1" };
      const reply = await fetch(address, { method: "POST", body, headers, signal });
      const kind = reply.headers.get("content-type") || "";
      if (kind.includes("json")) {
        const found = await reply.json();
        if (reply.ok) return found;
        tell(found.sentence);
      } else {
        const page = new DOMParser().parseFromString(await reply.text(), "text/html");
        tell(page.querySelector("main p")?.textContent || form.dataset.lost);
      }
      return null;
    };

    const look = async () => {
      if (acting) return;
      waiting?.abort();
      waiting = new AbortController();
      const number = ++asked;
      try {
        const sent = fields("look");
        const found = await ask("/recipe", sent, waiting.signal);
        if (found && number === asked && !acting) draw(found, sent);
        document.dispatchEvent(new CustomEvent("looked"));
      } catch (error) {
        if (error.name !== "AbortError") tell(form.dataset.lost);
      }
    };

    const typed = () => {
      dirty = true;
      clearTimeout(timer);
      timer = setTimeout(look, PAUSE);
    };

    const focus = (id) => {
      const to = id && byId(id);
      if (!to) return;
      to.focus({ preventScroll: true });
      to.scrollIntoView({ block: id === "panel" ? "start" : "nearest" }); // an open line may be higher than the window
    };

    const act = async (send, back) => {
      if (acting) return;
      acting = true;
      waiting?.abort();
      clearTimeout(timer);
      asked += 1;
      const before = text.value;
      const sent = fields("");
      form.setAttribute("aria-busy", "true");
      try {
        const found = await send();
        if (!found) return;
        if (found.text !== undefined && text.value === before) {
          text.value = found.text;
          dirty = true;
        }
        draw(found, sent);
        if (found.saved) dirty = false;
        if (found.unsaved) dirty = true;
        if (found.address && found.address !== location.pathname) history.replaceState(null, "", found.address);
        focus(found.focus || back);
      } catch {
        tell(form.dataset.lost);
      } finally {
        acting = false;
        form.removeAttribute("aria-busy");
        if (text.value !== before && dirty) look();
        document.dispatchEvent(new CustomEvent("acted"));
      }
    };

    form.addEventListener("submit", (event) => {
      event.preventDefault();
      const button = event.submitter;
      const what = button?.value || "look";
      act(() => ask("/recipe", fields(what)), what.startsWith("open") ? "panel" : byId("panel") ? "panel" : button?.id);
    });
    form.addEventListener("keydown", (event) => {
      const what = event.target.dataset?.enter;
      if (event.key !== "Enter" || event.target.tagName !== "INPUT") return;
      event.preventDefault();
      if (what) act(() => ask("/recipe", fields(what)), event.target.id);
    });
    form.addEventListener("keydown", (event) => {
      if (event.key === "Escape" && event.target.closest("#panel")) act(() => ask("/recipe", fields("close")));
    });
    document.addEventListener("keydown", (event) => {
      if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "s") {
        event.preventDefault();
        act(() => ask("/recipe", fields("save")));
      }
    });
    text.addEventListener("input", typed);
    text.addEventListener("paste", (event) => {
      if (event.clipboardData.getData("text").length <= Number(form.dataset.most)) return;
      event.preventDefault(); // before a window hangs that shows it
      tell(form.dataset.tooLarge);
    });

    const take = async (file) => {
      if (!file) return;
      if (file.size > Number(form.dataset.most)) {
        tell(form.dataset.tooLarge);
        return;
      }
      const held = new Blob([fields("drop")]);
      const address = `/drop?name=${encodeURIComponent(file.name)}&form=${held.size}`;
      await act(() => ask(address, new Blob([held, file])), "text");
    };
    byId("look-now").hidden = true;
    byId("from-file").hidden = false;
    byId("file").addEventListener("change", (event) => take(event.target.files[0]));
    text.addEventListener("dragover", (event) => event.preventDefault());
    text.addEventListener("drop", (event) => {
      if (!event.dataTransfer.files.length) return; // words that are dragged go where they fall
      event.preventDefault();
      take(event.dataTransfer.files[0]);
    });
    window.addEventListener("beforeunload", (event) => {
      if (dirty) event.preventDefault();
    });
  };

  if (form) bench();

  const again = document.querySelector("[data-again]");
  if (again) setTimeout(() => location.reload(), Number(again.dataset.again));

  for (const button of document.querySelectorAll("[data-copy]")) {
    button.hidden = false;
    button.addEventListener("click", async () => {
      const from = byId(button.dataset.copy);
      from.select();
      try {
        await navigator.clipboard.writeText(from.value);
      } catch {
        document.execCommand("copy");
      }
      byId("copied").textContent = button.dataset.copied;
    });
  }
})();
