// Nothing typed is lost. What is typed into a form is kept on this device until the server has answered it. Before
// a form that was open for a while is sent, the script asks whether the server is there and who is signed in: without
// a connection the form waits and is sent by itself, and after the sign-in has ended one signs in over the page.
// The pages of trials keep their entries themselves, and the page for signing says itself what was signed.
"use strict";
(() => {
  const { person, session } = document.body.dataset;
  const main = document.getElementById("main");
  const over = document.getElementById("sign-in-again");
  if (!person || !main || !over) return;
  const FRESH_MS = 120000, AGAIN_MS = 3000, TYPING_MS = 300, OLDEST_MS = 7 * 24 * 3600 * 1000;
  const MINE = `kept ${person} `;
  const SECRET = /csrf|password|passphrase/i;
  const NOT_TYPED = new Set(["kept_token", "version"]);
  const AWAY = gettext("The program does not answer. Try again in a moment.");
  let contact = Date.now(), passing = null, asked = null;

  const forms = () => [...main.querySelectorAll("form")].filter((form) => form.getAttribute("method") === "post" && !form.matches("[data-trial], .sign-desk"));
  const fields = (form) => [...form.elements].filter((each) => each.name && !SECRET.test(each.name) && !["file", "password", "submit", "button"].includes(each.type) && each.tagName !== "FIELDSET");
  const isTyped = (each) => each.type !== "hidden";
  const entries = (form) => fields(form).filter((each) => !["checkbox", "radio"].includes(each.type) || each.checked)
    .flatMap((each) => each.type === "select-multiple" ? [...each.selectedOptions].map((one) => [each.name, one.value]) : [[each.name, each.value]]);
  const said = (list) => JSON.stringify(list.filter(([name]) => !NOT_TYPED.has(name)));
  const keyOf = (form) => MINE + new URL(form.getAttribute("action") || location.href, location.href).pathname + location.search;

  // On this device
  const stored = (key) => { try { return JSON.parse(localStorage.getItem(key)); } catch { return null; } };
  const drop = (key) => { try { localStorage.removeItem(key); } catch { /* nothing is kept here */ } };
  const keep = (form, more = {}) => {
    if (!fields(form).some(isTyped)) return;
    try {
      localStorage.setItem(keyOf(form), JSON.stringify({ at: Date.now(), entries: entries(form), ...more }));
    } catch { /* a device that keeps nothing: the page itself still holds the entries */ }
  };
  const typing = new Map();
  const typed = (event) => {
    const form = event.target.form;
    if (!form || !forms().includes(form)) return;
    clearTimeout(typing.get(form));
    typing.set(form, setTimeout(() => keep(form), TYPING_MS));
  };
  main.addEventListener("input", typed);
  main.addEventListener("change", typed);
  main.addEventListener("kept:done", (event) => { // a script of the page has taken the entries over
    clearTimeout(typing.get(event.target));
    drop(keyOf(event.target));
  });

  // What is said above the page's content
  const bar = document.createElement("p");
  bar.className = "kept-bar";
  bar.setAttribute("role", "status");
  main.prepend(bar);
  const say = (words, label, act) => {
    bar.textContent = words;
    if (!label) return;
    const button = document.createElement("button");
    button.type = "button";
    button.className = "button button--plain";
    button.textContent = label;
    button.addEventListener("click", act);
    bar.append(" ", button);
  };

  // Is the server there, and who is signed in
  const ask = async () => {
    try {
      const answer = await fetch(session, { headers: { Accept: "application/json" }, cache: "no-store" });
      if (!answer.ok) return null;
      const told = await answer.json();
      contact = Date.now();
      return told;
    } catch {
      return null;
    }
  };
  const untilAnswered = (first) => new Promise((resolve) => {
    let timer = 0;
    const end = (told) => { clearTimeout(timer); window.removeEventListener("online", again); say(""); resolve(told); };
    const again = async () => {
      clearTimeout(timer);
      const told = await ask();
      if (told) end(told);
      else timer = setTimeout(again, AGAIN_MS);
    };
    say(gettext("The program does not answer. What you typed is kept here and is sent as soon as it answers."), gettext("Do not send it"), () => end(null));
    window.addEventListener("online", again);
    timer = setTimeout(again, first);
  });
  const refresh = (token) => {
    document.querySelectorAll("input[name=csrfmiddlewaretoken]").forEach((each) => { each.value = token; });
    document.body.setAttribute("hx-headers", JSON.stringify({ "X-CSRFToken": token }));
  };
  const loaded = (address) => new Promise((resolve, reject) => {
    const script = document.createElement("script");
    script.src = address;
    script.addEventListener("load", resolve);
    script.addEventListener("error", () => reject(new Error(AWAY)));
    document.head.append(script);
  });
  // What the person's device answers; the problem is said where the form says its own.
  const passkey = async (form, error) => {
    try {
      if (!window.passkeyAnswer) await loaded(form.dataset.passkeys);
      error.textContent = gettext("Follow what the browser shows.");
      const answer = await window.passkeyAnswer(form.dataset.asked);
      error.textContent = "";
      return JSON.stringify(answer);
    } catch (problem) {
      error.textContent = window.passkeyProblem?.(problem) ?? problem.message;
      return "";
    }
  };
  const signIn = () => new Promise((resolve) => {
    document.body.append(over.content.cloneNode(true));
    const dialog = document.querySelector("dialog.over");
    const form = dialog.querySelector("form");
    const error = form.querySelector("[role=alert]");
    const password = form.elements.password;
    const end = (done) => { dialog.close(); dialog.remove(); resolve(done); };
    const submit = async (event) => {
      event.preventDefault();
      if (event.submitter?.value === "later") return end(false);
      const told = await ask();
      if (!told) { error.textContent = AWAY; return; }
      const byPasskey = event.submitter?.value === "passkey";
      form.elements.passkey.value = byPasskey ? await passkey(form, error) : "";
      if (byPasskey && !form.elements.passkey.value || !dialog.isConnected) return;
      const data = new FormData(form);
      data.set("csrfmiddlewaretoken", told.csrf);
      try {
        const answer = await fetch(form.dataset.action, { method: "POST", body: new URLSearchParams(data), headers: { Accept: "application/json" } });
        const words = await answer.json();
        if (!answer.ok) {
          error.textContent = words.refused;
          if (words.wants_code) form.elements.code.closest(".field").hidden = false;
          const button = form.querySelector("[value=passkey]");
          form.dataset.asked = words.passkey ?? "";
          button.hidden = !words.passkey || !window.PublicKeyCredential;
          if (!button.hidden) button.focus();
          else (words.wants_code ? form.elements.code : password).select();
          return;
        }
      } catch {
        error.textContent = AWAY;
        return;
      }
      const now = await ask();
      if (now) refresh(now.csrf);
      end(Boolean(now) && String(now.person) === person);
    };
    form.addEventListener("submit", submit);
    dialog.addEventListener("cancel", (event) => { event.preventDefault(); end(false); });
    dialog.showModal();
    password.focus();
  });
  const reach = () => {
    asked ??= (async () => {
      const told = await ask() || await untilAnswered(AGAIN_MS);
      if (!told) return false;
      refresh(told.csrf);
      return String(told.person) === person || signIn();
    })().finally(() => { asked = null; });
    return asked;
  };

  // For scripts that send by themselves: again once the server answers and the person is signed in, unless given up.
  window.keptTrying = async (send) => {
    for (;;) {
      const answer = await send().catch(() => null);
      if (answer && ![401, 403].includes(answer.status)) return answer;
      if (!await reach()) return answer ?? Promise.reject(new Error("given up"));
      if (answer?.status === 403) return send();
    }
  };

  document.addEventListener("submit", async (event) => {
    const form = event.target, submitter = event.submitter;
    if (!forms().includes(form) || "queue" in form.dataset) return;
    if (passing === form) { passing = null; return; }
    clearTimeout(typing.get(form));
    let token = form.querySelector("input[name=kept_token]");
    if (!token) {
      token = document.createElement("input");
      token.type = "hidden";
      token.name = "kept_token";
      form.append(token);
    }
    token.value = [...crypto.getRandomValues(new Uint8Array(8))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
    keep(form, { token: token.value, button: submitter?.name ? [submitter.name, submitter.value] : null });
    if (navigator.onLine && Date.now() - contact < FRESH_MS) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    if (!await reach()) return;
    passing = form;
    form.requestSubmit(submitter?.isConnected ? submitter : undefined);
  }, true);

  // The page's own checks tell the same
  document.body.addEventListener("htmx:afterRequest", (event) => { if (event.detail.successful) { contact = Date.now(); if (!asked) say(""); } });
  document.body.addEventListener("htmx:responseError", async (event) => {
    if (event.detail.xhr.status !== 401) return;
    const form = event.detail.elt.closest("form");
    if (await reach() && form && !form.dataset.trial) form.dispatchEvent(new Event("change", { bubbles: true }));
  });
  const lost = () => {
    contact = 0;
    if (!asked && forms().some((form) => fields(form).some(isTyped))) say(gettext("No connection. What you type is kept on this device; save it when the program answers again."));
  };
  document.body.addEventListener("htmx:sendError", lost);
  window.addEventListener("offline", lost);
  window.addEventListener("online", () => { if (!asked) say(""); });

  // What was kept and did not arrive is offered
  const arrived = /(?:^|; )arrived=([^;]*)/.exec(document.cookie)?.[1].split(".") ?? [];
  const offer = (form, key, found) => {
    const box = document.createElement("div");
    box.className = "caution kept-offer";
    box.setAttribute("role", "status");
    const words = document.createElement("p");
    const when = new Date(found.at).toLocaleString(document.documentElement.lang, { dateStyle: "medium", timeStyle: "short" });
    words.textContent = interpolate(gettext("What was typed here on %(when)s was not saved."), { when }, true);
    const button = (label, act) => {
      const made = document.createElement("button");
      made.type = "button";
      made.className = "button button--plain";
      made.textContent = label;
      made.addEventListener("click", () => { box.remove(); act(); });
      return made;
    };
    const names = new Set(fields(form).map((each) => each.name));
    const fits = found.entries.every(([name]) => names.has(name) || name === "kept_token");
    const row = document.createElement("div");
    row.className = "actions";
    row.append(
      fits ? button(gettext("Put it back"), () => putBack(form, found)) : button(gettext("Send it now"), () => send(form, found)),
      button(gettext("Discard it"), () => drop(key)),
    );
    box.append(words, row);
    form.prepend(box);
  };
  const putBack = (form, found) => {
    const values = new Map();
    found.entries.forEach(([name, value]) => values.set(name, [...(values.get(name) ?? []), value]));
    fields(form).forEach((each) => {
      const kept = values.get(each.name) ?? [];
      if (["checkbox", "radio"].includes(each.type)) each.checked = kept.includes(each.value);
      else if (each.type === "select-multiple") [...each.options].forEach((one) => { one.selected = kept.includes(one.value); });
      else if (each.name !== "kept_token" && kept.length) each.value = kept.shift();
    });
    form.dispatchEvent(new Event("input", { bubbles: true }));
    keep(form);
  };
  const send = (form, found) => {
    const own = document.createElement("form");
    own.method = "post";
    own.action = form.getAttribute("action") || location.href;
    own.hidden = true;
    const token = form.querySelector("input[name=csrfmiddlewaretoken]");
    [...found.entries, found.button ?? ["", ""], ["csrfmiddlewaretoken", token?.value ?? ""]].filter(([name]) => name).forEach(([name, value]) => {
      const input = document.createElement("textarea");
      input.name = name;
      input.value = value;
      own.append(input);
    });
    main.append(own);
    own.requestSubmit();
  };
  Object.keys(localStorage).filter((key) => key.startsWith(MINE)).forEach((key) => {
    const found = stored(key);
    if (!found || arrived.includes(found.token) || Date.now() - found.at > OLDEST_MS) drop(key);
  });
  forms().forEach((form) => {
    const key = keyOf(form), found = stored(key);
    if (!found) return;
    if (said(found.entries) === said(entries(form))) drop(key);
    else if (found.entries.some(([name, value]) => value && !NOT_TYPED.has(name))) offer(form, key, found);
  });
  document.querySelector(".sheet__person form")?.addEventListener("submit", () => Object.keys(localStorage).filter((key) => key.startsWith(MINE)).forEach(drop));
})();
