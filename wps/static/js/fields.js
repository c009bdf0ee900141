// Ways around a long form: the enter key goes to the next entry instead of saving and starting at the top, and
// a field is gone to by its name. Without this script both the enter key and the buttons save.
"use strict";
(() => {
  const form = document.getElementById("editor");
  if (!form) return;
  const controls = () => [...form.querySelectorAll("input, select, textarea")].filter(
    (each) => each.type !== "hidden" && !each.disabled && each.id !== "part" && each.offsetParent !== null);
  form.addEventListener("keydown", (event) => {
    const from = event.target;
    if (event.key !== "Enter" || event.isComposing || from.id === "go-to-field") return;
    if (!from.matches("input, select")) return;
    event.preventDefault();
    const all = controls();
    const next = all[all.indexOf(from) + 1];
    if (next) next.focus(); else form.dispatchEvent(new Event("nextpart"));
  });

  const finder = document.getElementById("go-to-field");
  const names = document.getElementById("field-names");
  if (!finder || !names) return;
  const places = new Map();
  const collect = () => {
    places.clear();
    for (const entry of form.querySelectorAll(".entry, .field")) {
      const label = entry.querySelector("label, legend");
      const control = entry.querySelector("input:not([type=hidden]), select, textarea");
      if (!label || !control || control === finder) continue;
      const unit = label.querySelector(".entry__unit");
      const words = label.textContent.replace(unit ? unit.textContent : "", "").trim();
      const number = entry.closest(".level")?.dataset.line;
      const name = number ? interpolate(gettext("%(field)s (process %(number)s)"), { field: words, number }, true) : words;
      if (!places.has(name)) places.set(name, control);
    }
    names.replaceChildren(...[...places.keys()].map((name) => Object.assign(document.createElement("option"), { value: name })));
  };
  const go = () => {
    const wanted = finder.value.trim().toLowerCase();
    if (!wanted) return;
    const found = [...places].find(([name]) => name.toLowerCase() === wanted)
      || [...places].find(([name]) => name.toLowerCase().startsWith(wanted))
      || [...places].find(([name]) => name.toLowerCase().includes(wanted));
    const said = document.getElementById("go-to-said");
    if (!found) { if (said) said.textContent = gettext("No field of that name."); return; }
    if (said) said.textContent = "";
    for (let fold = found[1].closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
    finder.value = "";
    found[1].dispatchEvent(new Event("reveal", { bubbles: true }));
    found[1].focus();
    found[1].scrollIntoView({ block: "center" });
  };
  finder.addEventListener("focus", collect);
  finder.addEventListener("input", (event) => { event.stopPropagation(); if (places.has(finder.value)) go(); });
  finder.addEventListener("change", (event) => event.stopPropagation());
  finder.addEventListener("keydown", (event) => { if (event.key === "Enter") { event.preventDefault(); go(); } });
  document.querySelector(".editor-ways__go").addEventListener("click", go);
  document.getElementById("go-to").hidden = false;
})();
