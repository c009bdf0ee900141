// Entries of a trial are kept on this device until the server has them, and sent again by themselves.
// Nothing is judged here: the answer of the server says what was saved and how it was read.
"use strict";
(() => {
  const form = document.getElementById("trial-form");
  if (!form) return;
  const kept = document.getElementById("kept");
  const key = `trial-${form.dataset.trial}`;
  const AGAIN_MS = 4000, PATIENCE_MS = 15000;
  let unsent = false, changes = 0, sentChanges = 0;

  const say = (words) => {
    const line = document.createElement("span");
    line.className = "kept__word";
    line.textContent = words;
    kept.replaceChildren(line);
  };
  const fields = () => [...form.elements].filter((each) => each.form === form && each.name && each.type !== "file" && each.tagName !== "BUTTON");
  const isTiming = () => fields().some((each) => each.name.endsWith("-started") && each.value);
  const NOT_KEPT = new Set(["csrfmiddlewaretoken", "version", "shown"]);

  const keep = () => {
    const entries = fields()
      .filter((each) => !NOT_KEPT.has(each.name) && (!["checkbox", "radio"].includes(each.type) || each.checked))
      .map((each) => [each.name, each.value]);
    const text = JSON.stringify({ version: form.elements.version.value, entries });
    try {
      localStorage.setItem(key, text);
    } catch {
      say(gettext("This device keeps nothing for us: stay on this page until it says that it is saved."));
    }
  };

  const putBack = (stored) => {
    const passes = new Set(stored.entries.map(([name]) => /^pass-(\d+)-/.exec(name)?.[1]).filter(Boolean));
    passes.forEach((index) => form.dispatchEvent(new CustomEvent("trial:pass", { detail: Number(index) })));
    const values = new Map();
    stored.entries.forEach(([name, value]) => values.set(name, [...(values.get(name) || []), value]));
    fields().filter((each) => !NOT_KEPT.has(each.name)).forEach((each) => {
      if (["checkbox", "radio"].includes(each.type)) each.checked = (values.get(each.name) || []).includes(each.value);
      else if (values.has(each.name)) each.value = values.get(each.name)[0];
    });
    form.elements.version.value = stored.version;
    form.dispatchEvent(new CustomEvent("trial:put-back"));
  };

  const again = () => { if (unsent) htmx.trigger(form, "again"); };
  const changed = (event) => {
    if (event.target.form !== form) return;
    changes += 1;
    unsent = true;
    keep();
  };
  form.addEventListener("input", changed);
  form.addEventListener("change", changed);

  const lost = () => say(gettext("No connection. Your entries are kept on this device and are sent again by themselves."));
  document.body.addEventListener("htmx:configRequest", (event) => {
    if (event.detail.elt !== form) return;
    event.detail.timeout = PATIENCE_MS;
    sentChanges = changes;
  });
  document.body.addEventListener("htmx:beforeSwap", (event) => {
    if (event.detail.requestConfig?.elt === form && event.detail.xhr.status === 409) { event.detail.shouldSwap = true; event.detail.isError = false; unsent = false; }
  });
  document.body.addEventListener("htmx:afterRequest", (event) => {
    if (event.detail.requestConfig?.elt !== form || !event.detail.xhr || event.detail.xhr.status !== 200) return;
    if (changes !== sentChanges) return;
    unsent = false;
    if (!isTiming()) localStorage.removeItem(key); // a stopwatch that runs is nothing the server keeps
  });
  document.body.addEventListener("htmx:sendError", lost);
  document.body.addEventListener("htmx:timeout", lost);
  document.body.addEventListener("htmx:responseError", (event) => {
    if (event.detail.requestConfig?.elt !== form) return;
    const words = gettext("Not saved: the server answered with error %(status)s. Your entries are kept on this device. Sign in again or load the page again.");
    say(interpolate(words, event.detail.xhr, true));
  });
  window.addEventListener("online", again);
  window.addEventListener("offline", () => { if (unsent) lost(); });
  window.setInterval(again, AGAIN_MS);
  form.addEventListener("submit", (event) => {
    if (!navigator.onLine) { event.preventDefault(); keep(); unsent = true; lost(); }
  });

  const stored = localStorage.getItem(key);
  if (stored) {
    putBack(JSON.parse(stored));
    unsent = true;
    document.getElementById("put-back").textContent = gettext("Entries that had been kept on this device were put back in. Look them over.");
    document.addEventListener("DOMContentLoaded", again);
    window.setTimeout(again, 300);
  }
})();
