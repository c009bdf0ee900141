// Signs the ticked documents one by one and says how far it is. Without this script they are signed in one request.
"use strict";
(() => {
  const form = document.querySelector("form.sign-desk");
  const passphrase = document.getElementById("passphrase");
  if (!form || !passphrase) return;
  const progress = form.querySelector(".sign-desk__progress");
  form.addEventListener("submit", async (event) => {
    if (event.submitter?.name === "all") form.querySelectorAll("input[name=documents]:not(:disabled)").forEach((box) => { box.checked = true; });
    const ticked = [...form.querySelectorAll("input[name=documents]:checked")];
    if (ticked.length < 2) return;
    event.preventDefault();
    const button = event.submitter ?? form.querySelector("button");
    const bar = progress.querySelector("progress");
    const words = progress.querySelector("[role=status]");
    button.disabled = true;
    progress.hidden = false;
    bar.max = ticked.length;
    let signed = 0;
    const say = (message, refused = "") => { words.textContent = interpolate(message, { signed, all: ticked.length, refused }, true); };
    for (const box of ticked) {
      say(gettext("%(signed)s of %(all)s signed"));
      bar.value = signed;
      const said = box.closest("tr").querySelector(".sign-desk__said");
      try {
        const data = new FormData();
        data.set("csrfmiddlewaretoken", form.querySelector("[name=csrfmiddlewaretoken]").value);
        data.set("one", box.value);
        data.set("passphrase", passphrase.value);
        const answer = await fetch(form.action, { method: "POST", body: data, headers: { Accept: "application/json" } });
        const told = await answer.json();
        if (!answer.ok) {
          said.textContent = told.refused;
          say(gettext("%(signed)s of %(all)s signed. Not signed: %(refused)s"), told.refused);
          button.disabled = false;
          return;
        }
        said.textContent = told.signed;
        box.checked = false;
        box.disabled = true;
        signed += 1;
      } catch {
        say(gettext("%(signed)s of %(all)s signed; the server did not answer. Load the page again and go on."));
        button.disabled = false;
        return;
      }
    }
    bar.value = signed;
    say(gettext("All %(signed)s signed"));
    passphrase.value = "";
    button.disabled = false;
  });
})();
