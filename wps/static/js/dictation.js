// A note by voice, where the browser takes speech down. What it hears goes behind what is typed.
"use strict";
(() => {
  const Recognition = window.SpeechRecognition || window.webkitSpeechRecognition;
  if (!Recognition) return;
  document.querySelectorAll("[data-dictation]").forEach((part) => {
    const field = document.getElementById(part.dataset.dictation), button = part.querySelector("button");
    if (!field || !button) return;
    let hears = null;
    const show = () => button.setAttribute("aria-pressed", hears ? "true" : "false");
    button.addEventListener("click", () => {
      if (hears) return hears.stop();
      hears = new Recognition();
      hears.lang = document.documentElement.lang;
      hears.continuous = true;
      hears.onresult = (event) => {
        const said = [...event.results].slice(event.resultIndex).filter((each) => each.isFinal).map((each) => each[0].transcript.trim());
        if (!said.length) return;
        field.value = [field.value.trim(), ...said].filter(Boolean).join(" ");
        field.dispatchEvent(new Event("input", { bubbles: true }));
      };
      hears.onend = () => { hears = null; show(); };
      hears.start();
      show();
    });
    part.hidden = false;
  });
})();
