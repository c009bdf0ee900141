// The parts of a long form. On a wide sheet each folds; on a phone one part is shown at a time, with the way to the
// next. All stay in the one form, so what is typed is sent and checked wherever it stands. A part that lacks
// something required says how much and is never folded. Without this script everything is shown.
"use strict";
(() => {
  const form = document.getElementById("editor");
  const bar = document.getElementById("parts");
  if (!form || !bar) return;
  const KINDS = ".group--stacked, .group--entries, .folded--alone, .level__add, .desk__check";
  const titleOf = (box) => box.querySelector(":scope > :is(legend, summary, h2, p)");
  const narrow = matchMedia("(max-width: 40rem)");
  const select = bar.querySelector("select"), [back, next] = document.querySelectorAll("#part-steps button");
  const foldAll = document.getElementById("fold-all");
  const keptAs = `part-${location.pathname}`, foldedAs = `parts-folded-${document.body.dataset.person || ""}`;
  const keep = (store, key, value) => { try { store.setItem(key, value); } catch { /* Not kept: private window or full. */ } };
  const kept = (store, key) => { try { return store.getItem(key); } catch { return null; } };

  const parts = [...form.querySelectorAll(KINDS)].map((box) => {
    const title = titleOf(box), level = box.closest(".level");
    const words = (title.querySelector("[data-name]") || title.firstChild).textContent.trim();
    const number = level?.dataset.line, isFirst = level?.querySelector(".level__head h2")?.textContent.trim().startsWith(words);
    const within = isFirst ? gettext("Process %(number)s") : gettext("%(part)s, process %(number)s");
    const name = number ? interpolate(within, { part: words, number }, true) : words;
    title.tabIndex = -1;
    box.dataset.part = name;
    const lack = document.createElement("span"), says = document.createElement("span");
    lack.className = "part__lacks"; says.className = "part__says";
    title.append(lack, says);
    return { box, title, level, name, words, lack, says, lacks: 0, isFieldset: box.localName === "fieldset" };
  });
  let at = 0;
  const partOf = (target) => parts.findIndex(({ box }) => box.contains(target));

  const stated = (box) => [...box.querySelectorAll("input, select, textarea")].map((each) => {
    if (each.type === "hidden" || each.closest(".entry-when[hidden]")) return "";
    if (each.type === "checkbox") return each.checked ? each.closest("label")?.querySelector(".choose__number, b")?.textContent
      || each.closest("label")?.textContent : "";
    return each.localName === "select" ? each.value && each.selectedOptions[0].textContent : each.value;
  }).map((text) => (text || "").trim().split("\n")[0]).filter(Boolean).slice(0, 5).join("; ");

  const isFolded = (part) => "folded" in part.box.dataset;
  const fold = (part, yes) => {
    if (!part.isFieldset) return;
    if (yes && !part.lacks) { part.box.dataset.folded = ""; part.says.textContent = stated(part.box) || gettext("nothing stated"); }
    else { delete part.box.dataset.folded; part.says.textContent = ""; }
    const button = part.title.querySelector("button");
    if (button) button.setAttribute("aria-expanded", String(!isFolded(part)));
  };
  const sayFoldAll = () => { foldAll.textContent = parts.some(isFolded) ? gettext("Open all parts") : gettext("Fold what is complete"); };

  // The name of a part is a button where the part folds, and plain words where it stands alone.
  const dress = () => {
    for (const part of parts.filter((each) => each.isFieldset)) {
      const first = part.title.firstChild, plain = narrow.matches || part.lacks;
      if (plain === (first.localName !== "button")) continue;
      if (plain) { first.replaceWith(part.words); continue; }
      const button = Object.assign(document.createElement("button"), { type: "button", className: "part__fold", textContent: part.words });
      button.setAttribute("aria-expanded", String(!isFolded(part)));
      button.addEventListener("click", () => { fold(part, !isFolded(part)); sayFoldAll(); });
      first.replaceWith(button);
    }
  };

  const lacksWords = (count) => (count ? interpolate(gettext("%(count)s to state"), { count }, true) : "");
  const label = () => {
    [...select.options].forEach((option, index) => {
      const { name, lacks } = parts[index];
      const words = lacks ? gettext("%(place)s of %(all)s: %(name)s, %(lacks)s") : gettext("%(place)s of %(all)s: %(name)s");
      option.value = name;
      option.textContent = interpolate(words, { place: index + 1, all: parts.length, name, lacks: lacksWords(lacks) }, true);
    });
    back.disabled = at === 0; next.disabled = at === parts.length - 1;
    back.querySelector("span").textContent = at ? parts[at - 1].name : "";
    next.querySelector("span").textContent = parts[at + 1]?.name || "";
  };
  const show = (index, isMoved) => {
    at = Math.min(Math.max(index, 0), parts.length - 1);
    const { box, level, title } = parts[at];
    parts.forEach((part) => part.box.classList.toggle("part--away", part.box !== box));
    for (const each of form.querySelectorAll(".level")) {
      each.classList.toggle("part--away", each !== level);
      each.classList.toggle("level--further", parts.find((part) => part.level === each)?.box !== box);
    }
    if (box.localName === "details") box.open = true;
    select.selectedIndex = at;
    label();
    keep(sessionStorage, keptAs, parts[at].name);
    if (isMoved && narrow.matches) { title.focus({ preventScroll: true }); bar.scrollIntoView(); }
  };
  const reveal = (target) => {
    const index = target ? partOf(target) : -1;
    if (index < 0) return;
    if (index !== at) show(index, false);
    if (isFolded(parts[index])) { fold(parts[index], false); sayFoldAll(); }
  };

  const count = () => {
    for (const part of parts) part.lacks = 0;
    for (const link of document.querySelectorAll("#check [data-lacks] a[href*='#']")) {
      const part = parts[partOf(document.getElementById(link.hash.slice(1)))];
      if (part) part.lacks += 1;
    }
    for (const part of parts) {
      part.lacks += part.box.querySelectorAll(".field--error").length;
      part.lack.textContent = lacksWords(part.lacks);
      if (part.lacks && isFolded(part)) fold(part, false);
    }
    dress(); label(); sayFoldAll();
  };

  select.replaceChildren(...parts.map(() => document.createElement("option")));
  for (const name of ["input", "change"]) select.addEventListener(name, (event) => event.stopPropagation());
  select.addEventListener("change", () => { show(select.selectedIndex, false); });
  back.addEventListener("click", () => show(at - 1, true));
  next.addEventListener("click", () => show(at + 1, true));
  foldAll.addEventListener("click", () => {
    const yes = !parts.some(isFolded);
    for (const part of parts) fold(part, yes);
    keep(localStorage, foldedAs, yes ? "yes" : "");
    sayFoldAll();
  });
  form.addEventListener("reveal", (event) => reveal(event.target));
  form.addEventListener("nextpart", () => { if (narrow.matches) show(at + 1, true); });
  // Before the browser itself goes to the place: it cannot go to one that is away.
  document.addEventListener("click", (event) => {
    const link = event.target.closest?.("a[href*='#']");
    if (link && link.pathname === location.pathname) reveal(document.getElementById(decodeURIComponent(link.hash.slice(1))));
  }, true);
  narrow.addEventListener("change", dress);
  document.body.addEventListener("htmx:afterSettle", count);

  bar.hidden = foldAll.hidden = document.getElementById("part-steps").hidden = false;
  form.classList.add("in-parts");
  count();
  const target = location.hash.length > 1 && document.getElementById(decodeURIComponent(location.hash.slice(1)));
  const before = parts.findIndex(({ name }) => name === kept(sessionStorage, keptAs));
  // A record that is just begun starts at its beginning: there everything is still to be stated.
  const lacking = document.querySelector(".title-block") ? parts.findIndex(({ lacks }) => lacks) : 0;
  show(target && partOf(target) >= 0 ? partOf(target) : before >= 0 ? before : Math.max(lacking, 0), false);
  if (kept(localStorage, foldedAs)) for (const part of parts) fold(part, part.box !== parts[at].box);
  sayFoldAll();
  if (target) target.scrollIntoView();
})();
