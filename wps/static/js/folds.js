// Folds: paper shows all of them, a link into one opens it, and each person finds them as they were left.
const folds = () => document.querySelectorAll("main details");
const keptAs = `folds-${document.body.dataset.person || ""}`;
const kept = () => {
  try { return new Set(JSON.parse(localStorage.getItem(keptAs)) || []); } catch { return new Set(); }
};

let opened = [];
addEventListener("beforeprint", () => {
  opened = [...folds()].filter((fold) => !fold.open);
  for (const fold of opened) fold.open = true;
});
addEventListener("afterprint", () => { for (const fold of opened) fold.open = false; });

const openTheWay = () => {
  const target = location.hash.length > 1 && document.getElementById(decodeURIComponent(location.hash.slice(1)));
  if (!target) return;
  for (let at = target.closest("details"); at; at = at.parentElement.closest("details")) at.open = true;
  target.scrollIntoView();
};
addEventListener("hashchange", openTheWay);

const open = kept();
for (const fold of document.querySelectorAll("main details.fold[id]")) {
  if (open.has(fold.id)) fold.open = true;
  fold.querySelector("summary").addEventListener("click", () => {
    // The click comes before the fold turns.
    const now = kept();
    if (fold.open) now.delete(fold.id); else now.add(fold.id);
    try { localStorage.setItem(keptAs, JSON.stringify([...now])); } catch { /* Not kept: private window or full. */ }
  });
}
openTheWay();
