// What is logged at the welds without a connection is kept on this device, weld after weld, shown, and sent by itself
// when the program answers again. Each entry carries a token, so that none is logged twice. Nothing is judged here.
"use strict";
(() => {
  const shown = document.getElementById("log-queue");
  const { person, session } = document.body.dataset;
  if (!shown || !person) return;
  const form = document.querySelector("form[data-queue]");
  const status = document.getElementById("log-status");
  const KEY = `weld log ${person}`, AGAIN_MS = 4000;

  const all = () => { try { return JSON.parse(localStorage.getItem(KEY)) ?? []; } catch { return []; } };
  const store = (entries) => { localStorage.setItem(KEY, JSON.stringify(entries)); show(); };
  const put = (entry) => store([...all().filter((each) => each.token !== entry.token), entry]);
  const drop = (token) => store(all().filter((each) => each.token !== token));
  const waiting = () => all().filter((each) => !each.refused);
  const token = () => {
    const hex = [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
    return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
  };

  const show = () => {
    shown.replaceChildren(...all().map((entry) => {
      const line = document.createElement("li");
      const words = entry.refused ? gettext("%(mark)s: %(step)s, not logged. %(refused)s") : gettext("%(mark)s: %(step)s, waits on this device for a connection");
      line.textContent = interpolate(words, entry, true);
      if (!entry.refused) return line;
      const open = document.createElement("a");
      open.href = entry.action;
      open.textContent = interpolate(gettext("Open %(mark)s"), entry, true);
      const discard = document.createElement("button");
      discard.type = "button";
      discard.className = "button button--quiet";
      discard.textContent = interpolate(gettext("Discard the entry of %(mark)s"), entry, true);
      discard.addEventListener("click", () => drop(entry.token));
      line.append(" ", open, " ", discard);
      return line;
    }));
    shown.parentElement.hidden = !shown.children.length;
  };

  const there = async () => {
    const answer = await fetch(session, { headers: { Accept: "application/json" }, cache: "no-store" });
    if (!answer.ok) throw new Error(String(answer.status));
    return answer.json();
  };
  const send = async (entry, csrf) => {
    const data = new URLSearchParams([...entry.entries, ["token", entry.token], ["csrfmiddlewaretoken", csrf]]);
    const answer = await fetch(entry.action, { method: "POST", body: data, headers: { Accept: "text/x-fragment" } });
    if (answer.status === 204) drop(entry.token);
    else if (answer.status === 422) put({ ...entry, refused: await answer.text() });
    else if (answer.status === 404) put({ ...entry, refused: gettext("The weld is no longer on the job.") });
    else throw new Error(String(answer.status));
  };
  let busy = null;
  const sendAll = async () => {
    try {
      const told = await there();
      if (String(told.person) !== person) {
        status.textContent = gettext("Sign in again: entries wait on this device.");
        return;
      }
      const before = waiting().length;
      for (const entry of waiting()) await send(entry, told.csrf);
      if (before) status.textContent = all().length ? "" : gettext("What was kept on this device is logged.");
    } catch {
      if (waiting().length) status.textContent = gettext("No connection. Entries are kept on this device and are sent by themselves.");
    }
  };
  const again = () => (busy ??= sendAll().finally(() => { busy = null; }));
  window.addEventListener("online", again);
  window.setInterval(() => { if (waiting().length) again(); }, AGAIN_MS);
  show();
  if (waiting().length) again();
  if (!form) return;

  const weld = form.querySelector("[data-weld]");
  weld.closest(".field").hidden = false;
  const isTaken = () => form.dispatchEvent(new CustomEvent("kept:done", { bubbles: true }));
  weld.addEventListener("change", async () => {
    isTaken();
    form.action = weld.value;
    try {
      await there();
      location.assign(weld.value);
    } catch {
      status.textContent = gettext("No connection. What this page says of who may weld is of the weld it was opened for; the program checks each entry when it arrives.");
    }
  });
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const entry = {
      token: form.elements.token.value,
      action: form.action,
      mark: weld.selectedOptions[0].dataset.mark,
      step: form.elements.step.selectedOptions[0].textContent.trim(),
      entries: [...new FormData(form)].filter(([name]) => !["csrfmiddlewaretoken", "token"].includes(name)),
    };
    const next = event.submitter?.value === "next" ? event.submitter.dataset.next : form.action;
    try { put(entry); } catch { form.submit(); return; } // a device that keeps nothing
    if (busy) await busy;
    await again();
    const kept = all().find((each) => each.token === entry.token);
    if (kept?.refused) {
      drop(entry.token);
      form.submit(); // the page says beside each field what is wrong
      return;
    }
    isTaken();
    if (!kept) { location.assign(next); return; }
    form.elements.token.value = token();
    ["note", "reason", "report"].forEach((name) => { form.elements[name].value = ""; });
    weld.focus();
  });
})();
