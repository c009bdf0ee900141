// The key / leads to the search, from anywhere but a field; it is off where the search says so (data-key).
"use strict";
(() => {
  const field = document.getElementById("find-q");
  if (!field || field.dataset.key === "off") return;
  const isTyping = (at) => at.isContentEditable || at.matches("input, select, textarea, [role='grid'] *");
  addEventListener("keydown", (event) => {
    if (event.key !== "/" || event.ctrlKey || event.altKey || event.metaKey || event.defaultPrevented) return;
    if (event.target instanceof Element && isTyping(event.target)) return;
    if (document.querySelector("dialog[open]")) return;
    event.preventDefault();
    field.focus();
    field.select();
  });
})();
