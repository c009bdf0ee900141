// What a page with a long form does by itself: warn before leaving with unsaved entries, say when a check failed,
// drop the answer of a check that the entries have
// overtaken, and mark the form as unchecked until the answer to its last entry is on the page. The check that
// follows waits for the one under way instead of aborting it: the server would work out the aborted one all the same.
"use strict";
(() => {
  const form = document.querySelector("form[data-keep]");
  if (!form) return;
  let unsaved = form.dataset.keep === "unsaved";
  let edits = 0, checked = 0;
  const edited = () => { edits += 1; form.dataset.unchecked = ""; };
  form.addEventListener("input", () => { unsaved = true; edited(); });
  form.addEventListener("change", edited);
  form.addEventListener("submit", () => { unsaved = false; });
  window.addEventListener("beforeunload", (event) => { if (unsaved) event.preventDefault(); });
  form.addEventListener("keydown", (event) => {
    const button = event.key === "Enter" && document.getElementById(event.target.dataset.enter);
    if (button) { event.preventDefault(); button.click(); }
  });
  const isCheck = (event) => event.detail.requestConfig?.elt.id === "check";
  document.body.addEventListener("htmx:beforeRequest", (event) => { if (isCheck(event)) checked = edits; });
  document.body.addEventListener("htmx:beforeSwap", (event) => {
    if (isCheck(event) && checked !== edits) event.detail.shouldSwap = false;
  });
  document.body.addEventListener("htmx:afterSettle", (event) => {
    if (isCheck(event) && checked === edits) delete form.dataset.unchecked;
  });
  const outdated = () => {
    const verdict = document.getElementById("verdict");
    if (verdict) verdict.textContent = gettext("The check could not be run; what it last said may no longer hold. Save, or load the page again.");
  };
  document.body.addEventListener("htmx:responseError", outdated);
  document.body.addEventListener("htmx:sendError", outdated);
})();
