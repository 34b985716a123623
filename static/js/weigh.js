// The weigh pages: keys for gloves, weights in the unit of the scale, and what a figure comes to while it is typed.
"use strict";

(() => {
  const KG_PER_LB = 0.45359237;
  const LB = { lb: 1, oz: 1 / 16, kg: 1 / KG_PER_LB, g: 0.001 / KG_PER_LB };
  const form = document.getElementById("weigh-form");
  if (!form) return;
  form.classList.add("scripted");
  const says = document.getElementById("weigh-says");
  const outlook = document.getElementById("outlook");
  const chosen = (name, otherwise) => form.querySelector(`[name="${name}"]:checked`)?.value ?? otherwise;

  // What is typed, in pounds; null for what is no plain figure: the server reads those too.
  const pounds = (id, unit) => {
    const text = document.getElementById(id)?.value.trim().replace(",", ".") ?? "";
    return /^\d+(\.\d+)?$/.test(text) ? Number(text) * LB[unit] : null;
  };
  const written = (lb, unit) => {
    const digits = lb < 100 ? 2 : 1; // as the server writes them
    return `${(lb / LB[unit]).toLocaleString("en", { minimumFractionDigits: digits, maximumFractionDigits: digits })} ${unit}`;
  };
  const percent = (value) => `${value.toFixed(value < 30 ? 1 : 0)}%`;

  const showUnits = () => {
    const unit = chosen("unit", "lb");
    for (const place of outlook?.querySelectorAll("[data-lb]") ?? []) {
      const words = written(Number(place.dataset.lb), unit);
      place.textContent = "bare" in place.dataset ? words.split(" ")[0] : words;
    }
  };
  const sayWeight = () => {
    const lb = pounds("id_weight", chosen("unit", "lb"));
    const words = [];
    let odd = false;
    if (lb !== null) {
      const dry = Number(form.dataset.dry);
      if (dry && lb >= dry) words.push(`This piece is then at ${percent(100 * (lb / dry - 1))}.`);
      if (outlook?.dataset.low && (lb < Number(outlook.dataset.low) || lb > Number(outlook.dataset.high))) {
        odd = true;
        words.push("Outside the plausible range: look at the scale again.");
      }
    }
    says.textContent = words.join(" ");
    says.classList.toggle("odd", odd);
  };
  const saySection = () => {
    const unit = chosen("bench_unit", "g");
    const wet = pounds("id_wet", unit);
    const dry = pounds("id_oven_dry", unit);
    says.textContent = wet && dry && wet > dry ? `The section was at ${percent(100 * (wet / dry - 1))}.` : "";
  };
  const say = () => {
    if (!says) return;
    if (form.dataset.section) saySection();
    else sayWeight();
  };

  // Keys: on a phone the page's own ones instead of a keyboard that covers half of it.
  const pad = document.getElementById("weigh-pad");
  const dressPad = () => {
    const input = document.getElementById(pad.dataset.typesIn);
    const key = (words, label = words) => {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = words;
      button.dataset.key = label;
      if (label === "back") button.setAttribute("aria-label", "Take the last figure back");
      pad.append(button);
      return button;
    };
    for (const figure of ["1", "2", "3", "4", "5", "6", "7", "8", "9", ".", "0"]) key(figure);
    key("⌫", "back");
    key("Keyboard", "keyboard").className = "keyboard";
    pad.addEventListener("pointerdown", (event) => event.preventDefault()); // the input keeps its place
    pad.addEventListener("click", (event) => {
      const pressed = event.target.closest("[data-key]")?.dataset.key;
      if (!pressed) return;
      if (pressed === "keyboard") {
        input.inputMode = "decimal";
        pad.hidden = true;
        input.focus();
        return;
      }
      if (pressed === "back") input.value = input.value.slice(0, -1);
      else if (pressed !== "." || !/[.,]/.test(input.value)) input.value += pressed;
      input.dispatchEvent(new Event("input", { bubbles: true }));
    });
    if (matchMedia("(pointer: coarse)").matches) {
      input.inputMode = "none";
      pad.hidden = false;
    } else {
      input.focus();
    }
  };

  for (const chips of form.querySelectorAll("[data-fills]")) {
    const input = document.getElementById(chips.dataset.fills);
    const mark = () => {
      for (const chip of chips.children) chip.setAttribute("aria-pressed", String(chip.dataset.value === input.value.trim()));
    };
    chips.addEventListener("click", (event) => {
      const chip = event.target.closest("[data-value]");
      if (!chip) return;
      input.value = chip.dataset.value;
      mark();
    });
    input.addEventListener("input", mark);
    mark();
  }

  if (pad) dressPad();
  form.addEventListener("input", say);
  form.addEventListener("change", () => {
    showUnits();
    say();
  });
  showUnits();
  say();
})();
