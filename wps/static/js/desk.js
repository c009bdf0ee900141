// What a page with a long form does by itself: warn before leaving with unsaved entries, and say when a check failed.
"use strict";
(() => {
  const form = document.querySelector("form[data-keep]");
  if (!form) return;
  let unsaved = form.dataset.keep === "unsaved";
  form.addEventListener("input", () => { unsaved = true; });
  form.addEventListener("submit", () => { unsaved = false; });
  window.addEventListener("beforeunload", (event) => { if (unsaved) event.preventDefault(); });
  const outdated = () => {
    const verdict = document.getElementById("verdict");
    if (verdict) verdict.textContent = "The check could not be run; what it last said may no longer hold. Save, or load the page again.";
  };
  document.body.addEventListener("htmx:responseError", outdated);
  document.body.addEventListener("htmx:sendError", outdated);
})();
