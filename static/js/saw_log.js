// The saw: the row being typed survives a reload and a dead signal; keys and buttons for gloves; shortcuts.
"use strict";

(() => {
  const sheet = () => document.getElementById("sheet");
  const form = () => document.getElementById("saw-form");
  const draftName = () => `slabwright-saw-${sheet().dataset.log}`;
  const NOT_KEPT = new Set(["csrfmiddlewaretoken", "repeat_key"]);
  const coarse = matchMedia("(pointer: coarse)");
  let ownKeyboard = false;
  let waiting = false; // a row was sent and no answer came

  const say = (words) => {
    const place = document.getElementById("said");
    place.className = "said notice";
    place.textContent = words;
  };
  const changed = (input) => input.dispatchEvent(new Event("input", { bubbles: true }));

  // ---- The draft: what is typed is kept on this device until the server has it.
  const keep = () => {
    if (!form()) return;
    const kept = {};
    for (const [name, value] of new FormData(form())) if (!NOT_KEPT.has(name)) kept[name] = value;
    try {
      localStorage.setItem(draftName(), JSON.stringify(kept));
    } catch {
      // no room or not allowed: the row still goes to the server when added
    }
  };
  const forget = () => localStorage.removeItem(draftName());
  const bringBack = () => {
    let kept;
    try {
      kept = JSON.parse(localStorage.getItem(draftName()));
    } catch {
      kept = null;
    }
    if (!kept || !form() || form().dataset.fresh !== "yes") return;
    if (sheet().querySelector(`[data-key="${CSS.escape(kept.client_key ?? "")}"]`)) {
      forget();
      return;
    }
    for (const input of form().elements) {
      if (!input.name || NOT_KEPT.has(input.name)) continue;
      if (input.type === "checkbox" || input.type === "radio") input.checked = kept[input.name] === input.value;
      else if (input.name in kept) input.value = kept[input.name];
    }
    if (kept.widths_in || kept.tally) say("What you had typed is back.");
  };

  // ---- Buttons that type.
  const dressChips = () => {
    for (const chips of form().querySelectorAll("[data-fills]")) {
      const input = document.getElementById(chips.dataset.fills);
      const show = () => {
        for (const chip of chips.children) chip.setAttribute("aria-pressed", String(chip.dataset.value === input.value.trim()));
      };
      chips.addEventListener("click", (event) => {
        const chip = event.target.closest("[data-value]");
        if (!chip) return;
        input.value = chip.dataset.value;
        changed(input);
      });
      input.addEventListener("input", show);
      show();
    }
    for (const chips of form().querySelectorAll("[data-tallies-in]")) {
      const input = document.getElementById(chips.dataset.talliesIn);
      chips.addEventListener("click", (event) => {
        const chip = event.target.closest("[data-value]");
        if (!chip) return;
        const words = input.value.trim().split(/[\s;]+/).filter(Boolean);
        if (chip.dataset.value === "back") words.pop();
        else words.push(chip.dataset.value);
        input.value = words.join(" ");
        changed(input);
      });
    }
  };
  const dressPad = () => {
    const pad = document.getElementById("pad");
    if (!pad) return;
    const input = document.getElementById(pad.dataset.typesIn);
    const show = () => {
      const on = coarse.matches && !ownKeyboard;
      pad.hidden = !on;
      input.inputMode = on ? "none" : "text";
    };
    pad.addEventListener("pointerdown", (event) => {
      if (event.target.closest("[data-key]")) event.preventDefault(); // the field keeps its focus
    });
    pad.addEventListener("click", (event) => {
      const key = event.target.closest("[data-key]")?.dataset.key;
      if (!key) return;
      if (key === "keyboard") {
        ownKeyboard = true;
        show();
        input.focus();
        return;
      }
      const text = input.value;
      if (key === "back") input.value = text.replace(/(; |.)$/u, "");
      else if (key === "next") input.value = text.trim() && !/;\s*$/.test(text) ? `${text.trim()}; ` : text;
      else input.value = text + key;
      changed(input);
    });
    show();
  };

  const field = () => {
    if (!form()) return null;
    const lot = form().querySelector('[name="kind"][value="lot"]').checked;
    const wanted = form().querySelector(".wrong input") ?? document.getElementById(lot ? "id_tally" : "id_widths_in");
    const thickness = document.getElementById("id_thickness_in");
    return thickness.value.trim() || form().querySelector(".wrong input") ? wanted : thickness;
  };
  const dress = (focus) => {
    if (!form()) return;
    form().classList.add("scripted");
    bringBack();
    dressChips();
    dressPad();
    form().addEventListener("input", keep);
    form().addEventListener("change", keep);
    const next = field();
    if (focus || !coarse.matches) next?.focus({ preventScroll: true });
    // On a phone the widths and their keys are what the next slab needs in sight.
    if (focus && coarse.matches) next?.closest(".for-widths, .for-lot")?.scrollIntoView({ block: "start" });
  };

  document.addEventListener("htmx:beforeSwap", (event) => {
    // One row is changed at a time.
    if (event.detail.target.classList.contains("saw-row-place")) document.getElementById("row_form")?.remove();
  });
  // After settling: htmx sets the attributes of a swapped element once more by then.
  document.addEventListener("htmx:afterSettle", (event) => {
    waiting = false;
    if (event.detail.elt.id === "sheet" || event.detail.target.id === "sheet") dress(true);
    const row = document.getElementById("row_form");
    if (row && event.detail.target.classList.contains("saw-row-place")) row.querySelector("[name$=widths_in]").focus();
  });
  document.addEventListener("click", (event) => {
    const leave = event.target.closest("#row_form a.quiet");
    if (!leave || leave.closest(".saw-row-place") === null) return;
    event.preventDefault();
    const place = leave.closest(".saw-row-place");
    place.replaceChildren();
    place.parentElement.querySelector(".button.small")?.focus();
  });

  // A row that was sent into a dead signal goes again when the signal is back: its key makes it one slab.
  document.addEventListener("htmx:sendError", (event) => {
    if (event.target.id === "saw-form" && !event.defaultPrevented) waiting = true;
  });
  // What waited has arrived: the rows are shown anew, what is being typed stays.
  document.addEventListener("slabwright:arrived", () => {
    keep();
    htmx.ajax("GET", location.pathname, { source: "#sheet", target: "#sheet", swap: "outerHTML" });
  });
  // The phone keeps the row and sends it itself: the next one can be typed.
  document.addEventListener("slabwright:kept", () => {
    forget();
    form().dispatchEvent(new Event("input"));
    say("No signal: the slab waits on this phone and is sent by itself. Type the next one.");
  });
  window.addEventListener("online", () => {
    if (waiting && form()) form().requestSubmit(document.getElementById("add"));
  });

  document.addEventListener("keydown", (event) => {
    if (!event.altKey || event.ctrlKey || event.metaKey) return;
    const button = { r: "repeat", u: "undo" }[event.key.toLowerCase()];
    if (!button) return;
    event.preventDefault();
    document.getElementById(button)?.click();
  });

  dress(false);
})();
