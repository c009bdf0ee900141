// The stopwatch of each pass, and an empty pass below the last one. Speed and energy are the server's to say.
"use strict";
(() => {
  const form = document.getElementById("trial-form");
  const list = document.getElementById("passes");
  if (!form || !list) return;
  const rows = () => [...list.querySelectorAll("[data-pass]")];
  const blank = rows().at(-1).cloneNode(true);
  const of = (row, name) => row.querySelector(`[name$="-${name}"]`);
  const hasEntries = (row) => ["pass_length", "arc_time", "amps", "volts", "started"].some((name) => of(row, name).value.trim());
  const token = () => {
    const bytes = crypto.getRandomValues(new Uint8Array(16)); // randomUUID is closed to pages without HTTPS, as on a shop's own network
    const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
    return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
  };

  const addRow = () => {
    const index = rows().length;
    const row = blank.cloneNode(true);
    const old = /pass-\d+-/.exec(of(row, "token").name)[0];
    row.querySelectorAll("[name], [id], [for], [aria-describedby]").forEach((each) => {
      ["name", "id", "for", "aria-describedby"].forEach((attribute) => {
        const value = each.getAttribute(attribute);
        if (value) each.setAttribute(attribute, value.replace(old, `pass-${index}-`).replace(old.slice(0, -1), `pass-${index}`));
      });
    });
    row.querySelector("[data-number]").textContent = String(index + 1);
    of(row, "token").value = token();
    list.append(row);
    show(row);
    return row;
  };
  const spare = () => { if (hasEntries(rows().at(-1))) addRow(); };

  const running = (row) => of(row, "started").value !== "";
  const show = (row) => {
    const button = row.querySelector("[data-timer]");
    const isPaused = !running(row) && Boolean(of(row, "arc_time").value.trim());
    const words = running(row) ? interpolate(gettext("Stop · %(seconds)s s"), { seconds: Math.floor((Date.now() - Number(of(row, "started").value)) / 1000) }, true)
      : isPaused ? gettext("Resume, adds to the time") : gettext("Start");
    if (button.textContent !== words) button.textContent = words;
    button.classList.toggle("pass__timer--running", running(row));
    button.classList.toggle("button--plain", isPaused);
  };
  const tell = (row) => of(row, "arc_time").dispatchEvent(new Event("change", { bubbles: true }));

  const start = (row) => {
    of(row, "started").value = String(Date.now());
    const earlier = rows().slice(0, rows().indexOf(row)).map((each) => of(each, "pass_length").value.trim()).filter(Boolean);
    if (!of(row, "pass_length").value.trim()) of(row, "pass_length").value = earlier.at(-1) || form.dataset.length;
    spare();
  };
  const stop = (row) => {
    const before = Number.parseFloat(of(row, "arc_time").value) || 0;
    const seconds = before + (Date.now() - Number(of(row, "started").value)) / 1000;
    of(row, "arc_time").value = `${seconds.toFixed(1)} s`;
    of(row, "started").value = "";
    of(row, "amps").focus();
  };
  list.addEventListener("click", (event) => {
    const button = event.target.closest("[data-timer]");
    if (!button) return;
    const row = button.closest("[data-pass]");
    if (running(row)) stop(row); else start(row);
    show(row);
    tell(row);
  });
  list.addEventListener("input", (event) => { spare(); show(event.target.closest("[data-pass]")); });
  list.addEventListener("keydown", (event) => { // the enter key of a number pad goes on to the next field
    if (event.key !== "Enter" || event.target.tagName !== "INPUT") return;
    event.preventDefault();
    const inputs = [...list.querySelectorAll("input:not([type=hidden])")];
    const next = inputs[inputs.indexOf(event.target) + 1];
    if (next) next.focus();
  });
  form.addEventListener("trial:pass", (event) => { while (rows().length <= event.detail) addRow(); });
  form.addEventListener("trial:put-back", () => { spare(); rows().forEach(show); });
  rows().forEach(show);
  window.setInterval(() => rows().filter(running).forEach(show), 1000);
})();
