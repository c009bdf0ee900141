// The weld list as a grid: one tab stop, arrows inside; type or paste, and what cannot be read stays marked where it
// was typed. Each change is sent at once and the server's reading of it comes back.
"use strict";
(() => {
  const table = document.querySelector("table[data-grid]");
  if (!table) return;
  const body = table.tBodies[0];
  const keys = [...table.tHead.rows[0].cells].map((cell) => cell.dataset.key).filter(Boolean);
  const heads = [...table.tHead.rows[0].cells].filter((cell) => cell.dataset.key).map((cell) => cell.textContent);
  const state = document.getElementById("grid-state");
  const problemBox = document.getElementById("grid-problems");
  const token = () => JSON.parse(document.body.getAttribute("hx-headers") || "{}")["X-CSRFToken"] || "";
  const undone = [];
  let at = null, anchor = null, waiting = Promise.resolve(), rowNames = 0;

  const dataCells = (row) => [...row.querySelectorAll("td[data-key]")];
  const cellAt = (r, c) => body.rows[r] && dataCells(body.rows[r])[c];
  const place = (cell) => [cell.parentElement.sectionRowIndex, keys.indexOf(cell.dataset.key)];
  const textOf = (cell) => (cell.dataset.typed ?? cell.textContent).trim();

  const dress = (row) => {
    if (!row.dataset.row) row.dataset.row = `r${rowNames++}`;
    dataCells(row).forEach((cell) => { cell.tabIndex = -1; cell.dataset.seen ??= cell.textContent.trim(); });
  };
  const addRows = (count) => {
    for (let n = 0; n < count; n += 1) {
      const row = body.insertRow();
      const head = document.createElement("th");
      head.scope = "row"; head.className = "grid__open"; head.textContent = gettext("New");
      row.append(head);
      keys.forEach((key) => { const cell = row.insertCell(); cell.dataset.key = key; });
      row.insertCell().className = "grid__verdict";
      dress(row);
    }
  };

  const mark = () => {
    body.querySelectorAll(".is-marked").forEach((cell) => cell.classList.remove("is-marked"));
    if (!at || !anchor) return;
    const [r1, c1] = place(anchor), [r2, c2] = place(at);
    if (r1 === r2 && c1 === c2) return;
    for (let r = Math.min(r1, r2); r <= Math.max(r1, r2); r += 1)
      for (let c = Math.min(c1, c2); c <= Math.max(c1, c2); c += 1) cellAt(r, c)?.classList.add("is-marked");
  };
  const go = (cell, keep = false) => {
    if (!cell) return;
    if (at) at.tabIndex = -1;
    at = cell; at.tabIndex = 0;
    if (!keep) anchor = cell;
    at.focus({ preventScroll: false });
    at.scrollIntoView({ block: "nearest", inline: "nearest" });
    mark();
  };
  const move = (dr, dc, keep) => {
    const [r, c] = place(at);
    if (dr > 0 && r + dr >= body.rows.length) addRows(1);
    go(cellAt(Math.max(0, r + dr), Math.min(keys.length - 1, Math.max(0, c + dc))), keep);
  };
  const block = () => {
    const [r1, c1] = place(anchor || at), [r2, c2] = place(at);
    return { top: Math.min(r1, r2), bottom: Math.max(r1, r2), left: Math.min(c1, c2), right: Math.max(c1, c2) };
  };

  const wrong = (cell, words) => {
    cell.classList.add("grid__wrong");
    cell.dataset.problem = words;
    cell.title = words;
    cell.setAttribute("aria-invalid", "true");
  };
  const right = (cell) => {
    cell.classList.remove("grid__wrong");
    delete cell.dataset.problem;
    delete cell.dataset.typed;
    cell.removeAttribute("title");
    cell.removeAttribute("aria-invalid");
  };
  const wrongCells = () => [...body.querySelectorAll(".grid__wrong")];
  const tellProblems = () => {
    const list = problemBox.querySelector("ul"), found = wrongCells();
    list.replaceChildren(...found.slice(0, 50).map((cell) => {
      const item = document.createElement("li"), link = document.createElement("a");
      const markCell = dataCells(cell.parentElement)[0];
      link.href = "#welds";
      link.textContent = `${textOf(markCell) || gettext("New row")}, ${heads[keys.indexOf(cell.dataset.key)]}`;
      link.addEventListener("click", (event) => { event.preventDefault(); go(cell); });
      item.append(link, `: ${cell.dataset.problem}`);
      return item;
    }));
    problemBox.hidden = !found.length;
  };

  const show = (answer) => {
    const row = body.querySelector(`tr[data-row="${CSS.escape(answer.row)}"]`);
    if (!row) return;
    if (answer.pk) {
      row.dataset.pk = answer.pk;
      if (answer.url) {
        const link = document.createElement("a");
        link.href = answer.url; link.textContent = gettext("Open");
        row.cells[0].replaceChildren(link);
      }
    }
    dataCells(row).forEach((cell) => {
      const key = cell.dataset.key;
      cell.classList.remove("is-busy");
      if (answer.now && key in answer.now) cell.dataset.seen = answer.now[key];
      if (answer.problems[key]) { wrong(cell, answer.problems[key]); return; }
      if (!(key in answer.cells)) return;
      const [text, origin] = answer.cells[key];
      right(cell);
      cell.textContent = text; cell.dataset.seen = text;
      cell.classList.toggle("grid__detail", origin === "detail");
      cell.classList.toggle("grid__own", origin === "own");
    });
    const verdict = row.cells[row.cells.length - 1];
    if (answer.shape) { verdict.innerHTML = answer.shape; verdict.title = answer.why; }
  };
  const send = (changes) => {
    const byRow = new Map();
    changes.forEach(([cell, text]) => {
      const row = cell.parentElement;
      if (!byRow.has(row)) byRow.set(row, {});
      byRow.get(row)[cell.dataset.key] = text;
      cell.textContent = text; cell.dataset.typed = text; cell.classList.add("is-busy");
    });
    const job = async () => {
      const rows = [...byRow].map(([row, cells]) => {
        // What is still wrong in a row that is not stored yet goes along again, so that nothing typed is lost.
        if (!row.dataset.pk) dataCells(row).forEach((cell) => { if (textOf(cell)) cells[cell.dataset.key] ??= textOf(cell); });
        const reason = document.getElementById("grid-reason").value.trim();
        if (reason && ("welder" in cells || "spec_number" in cells)) cells.reason = reason;
        // What the page showed goes along: a cell that somebody else wrote meanwhile is not overwritten unseen.
        const seen = Object.fromEntries(dataCells(row).filter((cell) => cell.dataset.key in cells).map((cell) => [cell.dataset.key, cell.dataset.seen]));
        return { row: row.dataset.row, pk: row.dataset.pk ? Number(row.dataset.pk) : null, cells, seen };
      });
      state.textContent = gettext("Saving …");
      try {
        const answer = await keptTrying(() => fetch(table.dataset.grid, {
          method: "POST",
          headers: { "Content-Type": "application/json", "X-CSRFToken": token() },
          body: JSON.stringify({ rows, units: document.getElementById("grid-units").value }),
        }));
        if (!answer.ok) throw new Error(String(answer.status));
        (await answer.json()).rows.forEach(show);
        const left = wrongCells().length;
        state.textContent = left
          ? interpolate(ngettext("%(count)s cell needs a correction; the rest is saved.", "%(count)s cells need a correction; the rest is saved.", left), { count: left }, true)
          : gettext("Saved.");
      } catch {
        changes.forEach(([cell]) => { cell.classList.remove("is-busy"); wrong(cell, gettext("Not saved: no answer from the server. Type it again.")); });
        state.textContent = gettext("Not saved. Check the connection, then try again.");
      }
      tellProblems();
    };
    waiting = waiting.then(job);
  };
  const write = (changes, remember = true) => {
    const real = changes.filter(([cell, text]) => cell && (textOf(cell) !== text.trim() || cell.dataset.problem));
    if (!real.length) return;
    if (remember) undone.push(real.map(([cell]) => [cell, textOf(cell)]));
    send(real.map(([cell, text]) => [cell, text.trim()]));
  };

  const edit = (first) => {
    const cell = at, before = textOf(cell), field = document.createElement("input");
    field.value = first ?? before;
    field.setAttribute("aria-label", heads[keys.indexOf(cell.dataset.key)]);
    cell.replaceChildren(field);
    field.focus();
    if (first === undefined) field.select();
    let done = false;
    const end = (keep) => {
      if (done) return;
      done = true;
      const text = field.value;
      cell.textContent = before;
      if (keep) write([[cell, text]]);
    };
    field.addEventListener("blur", () => end(true));
    field.addEventListener("keydown", (event) => {
      const moves = { Enter: [event.shiftKey ? -1 : 1, 0], Tab: [0, event.shiftKey ? -1 : 1], ArrowDown: [1, 0], ArrowUp: [-1, 0] };
      if (event.key === "Escape") { end(false); go(cell); } else if (moves[event.key]) { end(true); go(cell); move(...moves[event.key]); } else return;
      event.preventDefault();
      event.stopPropagation();
    });
  };

  const fillDown = () => {
    const { top, bottom, left, right: last } = block(), changes = [];
    const from = top === bottom ? top - 1 : top;
    if (from < 0) return;
    for (let c = left; c <= last; c += 1)
      for (let r = from + 1; r <= bottom; r += 1) if (keys[c] !== "mark") changes.push([cellAt(r, c), textOf(cellAt(from, c))]);
    write(changes);
  };
  const copied = () => {
    const { top, bottom, left, right: last } = block(), lines = [];
    for (let r = top; r <= bottom; r += 1) {
      const line = [];
      for (let c = left; c <= last; c += 1) line.push(textOf(cellAt(r, c)));
      lines.push(line.join("\t"));
    }
    return lines.join("\n");
  };
  const pasted = (text) => {
    const lines = text.replace(/\r\n?/g, "\n").replace(/\n$/, "").split("\n").map((line) => line.split("\t"));
    const { top, left, bottom, right: last } = block(), changes = [];
    const one = lines.length === 1 && lines[0].length === 1;
    const height = one ? bottom - top + 1 : lines.length;
    if (top + height > body.rows.length) addRows(top + height - body.rows.length);
    let outside = 0;
    for (let r = 0; r < height; r += 1) {
      const line = one ? Array(last - left + 1).fill(lines[0][0]) : lines[r];
      line.forEach((value, c) => { const cell = cellAt(top + r, left + c); if (cell) changes.push([cell, value]); else if (value.trim()) outside += 1; });
    }
    if (outside) {
      const words = ngettext("%(count)s cell lies beyond the last column; nothing was pasted. Start further left.", "%(count)s cells lie beyond the last column; nothing was pasted. Start further left.", outside);
      state.textContent = interpolate(words, { count: outside }, true);
      return;
    }
    write(changes);
  };

  table.addEventListener("mousedown", (event) => {
    const cell = event.target.closest("td[data-key]");
    if (!cell || event.target.tagName === "INPUT") return;
    event.preventDefault();
    document.activeElement?.blur?.();
    go(cell, event.shiftKey);
  });
  table.addEventListener("dblclick", (event) => { if (at && event.target.closest("td[data-key]") === at) edit(); });
  table.addEventListener("focusin", (event) => { const cell = event.target.closest("td[data-key]"); if (cell && cell !== at && event.target === cell) go(cell); });
  table.addEventListener("keydown", (event) => {
    if (!at || event.target !== at) return;
    const control = event.ctrlKey || event.metaKey, name = event.key;
    const arrows = { ArrowDown: [1, 0], ArrowUp: [-1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] };
    if (arrows[name]) {
      const [r] = place(at);
      if (name === "ArrowDown" && r + 1 >= body.rows.length && event.shiftKey) return;
      move(...arrows[name], event.shiftKey);
    } else if (name === "Enter") move(event.shiftKey ? -1 : 1, 0);
    else if (name === "Home") go(cellAt(control ? 0 : place(at)[0], 0));
    else if (name === "End") go(cellAt(control ? body.rows.length - 1 : place(at)[0], keys.length - 1));
    else if (name === "PageDown" || name === "PageUp") go(cellAt(Math.min(body.rows.length - 1, Math.max(0, place(at)[0] + (name === "PageDown" ? 15 : -15))), place(at)[1]));
    else if (name === "F2") edit();
    else if (name === "F8") { const found = wrongCells(); go(found[(found.indexOf(at) + 1) % found.length]); }
    else if (name === "Escape") document.querySelector(".pages a, .grid-keys, footer")?.scrollIntoView({ block: "nearest" }), at.blur();
    else if (name === "Delete" || name === "Backspace") {
      const { top, bottom, left, right: last } = block(), changes = [];
      for (let r = top; r <= bottom; r += 1) for (let c = left; c <= last; c += 1) changes.push([cellAt(r, c), ""]);
      write(changes);
    } else if (control && name.toLowerCase() === "d") fillDown();
    else if (control && name.toLowerCase() === "z") { const last = undone.pop(); if (last) write(last, false); }
    else if (!control && !event.altKey && name.length === 1) edit(name);
    else return;
    event.preventDefault();
  });
  document.addEventListener("copy", (event) => { if (at && document.activeElement === at) { event.clipboardData.setData("text/plain", copied()); event.preventDefault(); } });
  document.addEventListener("paste", (event) => { if (at && document.activeElement === at) { pasted(event.clipboardData.getData("text/plain")); event.preventDefault(); } });
  document.querySelector("[data-grid-add]").addEventListener("click", () => { const first = body.rows.length; addRows(10); go(cellAt(first, 0)); });
  window.addEventListener("beforeunload", (event) => { if (wrongCells().length || body.querySelector(".is-busy")) event.preventDefault(); });
  document.querySelectorAll("[data-grid-tools]").forEach((each) => { each.hidden = false; });
  [...body.rows].forEach(dress);
  if (!body.rows.length) addRows(5);
  const first = cellAt(0, 0);
  if (first) { at = anchor = first; first.tabIndex = 0; }
})();
