// Taps on a photo become points in its own pixels; the server works out sizes. Nothing is stored before "Save".
"use strict";
(() => {
  const form = document.getElementById("measure-form");
  if (!form) return;
  const byId = (name) => document.getElementById(name);
  const image = byId("measure-image"), stage = byId("measure-stage"), marks = byId("measure-marks"), now = byId("measure-now");
  const says = byId("measure-says");
  let taps = [], cross = null;

  const chosen = () => form.querySelector("[name=what]:checked");
  const limits = () => [Number(chosen().dataset.least), Number(chosen().dataset.most)];
  const zoom = () => image.naturalWidth / image.getBoundingClientRect().width;
  const node = (name, attributes) => {
    const made = document.createElementNS("http://www.w3.org/2000/svg", name);
    Object.entries(attributes).forEach(([key, value]) => made.setAttribute(key, value));
    return made;
  };
  const target = ([x, y], kind) => {
    const reach = 12 * zoom();
    return node("path", { class: kind, d: `M${x - reach} ${y}H${x + reach}M${x} ${y - reach}V${y + reach}` });
  };
  const tapsWords = (lacks, isOpen) => {
    if (!lacks) return gettext("%(taps)s points set. Save, or undo the last.");
    return isOpen
      ? gettext("Tap the photo: %(taps)s of %(least)s or more points set. On a keyboard: arrows move the cross, Enter sets a point.")
      : gettext("Tap the photo: %(taps)s of %(least)s points set. On a keyboard: arrows move the cross, Enter sets a point.");
  };
  const draw = () => {
    now.replaceChildren(...taps.map((tap) => target(tap, "photo-measure__tap")));
    if (taps.length > 1) now.prepend(node(limits()[1] > 2 ? "polygon" : "polyline", { class: "photo-measure__line", points: taps.map((tap) => tap.join(",")).join(" ") }));
    if (cross) now.append(target(cross, "photo-measure__cross"));
    byId("measure-taps").value = JSON.stringify(taps);
    byId("measure-size").value = JSON.stringify([image.naturalWidth, image.naturalHeight]);
    byId("measure-zoom").value = zoom().toFixed(4);
    byId("length-field").hidden = chosen().value !== "scale";
    const [least] = limits();
    says.textContent = interpolate(tapsWords(taps.length < least, limits()[1] > 2), { taps: taps.length, least }, true);
  };
  const add = (point) => {
    const most = limits()[1];
    taps = taps.length >= most ? [point] : [...taps, point];
    draw();
  };
  stage.addEventListener("click", (event) => {
    const box = image.getBoundingClientRect();
    const x = ((event.clientX - box.left) / box.width) * image.naturalWidth, y = ((event.clientY - box.top) / box.height) * image.naturalHeight;
    if (x >= 0 && y >= 0 && x <= image.naturalWidth && y <= image.naturalHeight) add([Math.round(x * 10) / 10, Math.round(y * 10) / 10]);
  });
  const STEPS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
  stage.addEventListener("keydown", (event) => {
    if (event.key === "Enter" && cross) {
      event.preventDefault();
      add([...cross]);
    } else if (event.key in STEPS) {
      event.preventDefault();
      const step = zoom() * (event.shiftKey ? 1 : 12);
      cross = cross || [image.naturalWidth / 2, image.naturalHeight / 2];
      cross = cross.map((value, axis) => Math.min(Math.max(value + STEPS[event.key][axis] * step, 0), [image.naturalWidth, image.naturalHeight][axis]));
      draw();
    }
  });
  form.addEventListener("change", (event) => { if (event.target.name === "what") { taps = []; draw(); } });
  byId("measure-undo").addEventListener("click", () => { taps = taps.slice(0, -1); draw(); });
  form.addEventListener("click", (event) => {
    const times = event.target.dataset.zoom;
    if (!times) return;
    stage.classList.toggle("photo-measure__stage--2", times === "2");
    stage.classList.toggle("photo-measure__stage--4", times === "4");
    draw();
  });
  const ready = () => {
    marks.setAttribute("viewBox", `0 0 ${image.naturalWidth} ${image.naturalHeight}`);
    draw();
  };
  if (image.complete && image.naturalWidth) ready(); else image.addEventListener("load", ready);
})();
