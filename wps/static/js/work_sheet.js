// A work sheet of the code tables, gone through by keyboard: Enter takes the row as the same, or as typed, and goes to
// the next; the arrows pass rows over. Nothing is sent before the button.
"use strict";
(() => {
  const form = document.querySelector("form[data-sheet]");
  if (!form) return;
  const entries = [...form.querySelectorAll(".sheet-book")];
  const save = form.querySelector("button.button");
  const count = form.querySelector(".sheet-count");
  if (!entries.length || !save) return;

  const tell = () => {
    const done = entries.filter((each) => each.value.trim()).length;
    count.textContent = done ? interpolate(gettext("%(done)s of %(all)s entered"), { done, all: entries.length }, true) : "";
  };
  const goTo = (place) => {
    const next = entries[place];
    if (next) next.focus();
    else if (place >= entries.length) save.focus();
  };
  entries.forEach((entry, place) => {
    entry.addEventListener("keydown", (event) => {
      if (event.key === "Enter") {
        event.preventDefault();
        if (!entry.value.trim()) entry.value = "same";
        entry.dispatchEvent(new Event("input", { bubbles: true }));
        goTo(place + 1);
      } else if (event.key === "ArrowDown" || event.key === "ArrowUp") {
        event.preventDefault();
        goTo(place + (event.key === "ArrowDown" ? 1 : -1));
      }
    });
    entry.addEventListener("input", tell);
  });
  // Against which copy and on which day is known from the sheet before: the first row waits.
  const head = [...form.querySelectorAll("input[name=copy], input[name=checked_on]")];
  if (head.every((each) => each.value) && !document.querySelector("[autofocus]")) entries[0].focus();
  head.forEach((each) => each.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    event.preventDefault();
    (head.find((one) => !one.value) || entries[0]).focus();
  }));
  tell();
})();
