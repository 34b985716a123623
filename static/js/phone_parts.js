// Parts of the phone's screens: elements, weights in the unit of the scale, keys for gloves.
"use strict";

self.YardParts = (() => {
  const KG_PER_LB = 0.45359237;
  const LB = { lb: 1, oz: 1 / 16, kg: 1 / KG_PER_LB, g: 0.001 / KG_PER_LB };

  // make("p.soft", {id: "x"}, "words", otherElement)
  const make = (what, attributes = {}, ...inside) => {
    const [tag, ...classes] = what.split(".");
    const element = document.createElement(tag);
    if (classes.length) element.className = classes.join(" ");
    for (const [name, value] of Object.entries(attributes)) {
      if (name === "on") for (const [event, act] of Object.entries(value)) element.addEventListener(event, act);
      else if (value === true) element.setAttribute(name, "");
      else if (value !== false && value !== null && value !== undefined) element.setAttribute(name, value);
    }
    element.append(...inside.filter((one) => one !== null && one !== undefined && one !== ""));
    return element;
  };

  const written = (lb, unit) => {
    const value = lb / LB[unit];
    const digits = value < 100 ? 2 : 1;
    return `${value.toLocaleString("en", { minimumFractionDigits: digits, maximumFractionDigits: digits })} ${unit}`;
  };
  // A plain figure in pounds; null for anything else, which the server reads: fractions, "12 lb 4 oz".
  const pounds = (text, unit) => {
    const plain = text.trim().replace(",", ".");
    return /^\d+(\.\d+)?$/.test(plain) ? Number(plain) * LB[unit] : null;
  };
  const day = (iso) => (iso ? new Date(iso.length === 10 ? `${iso}T12:00` : iso).toLocaleDateString("en-GB", { day: "numeric", month: "short" }) : "");
  const clock = (iso) => new Date(iso).toLocaleString("en-GB", { day: "numeric", month: "short", hour: "2-digit", minute: "2-digit", hour12: false });

  const field = (label, name, attributes = {}, hint = "") => {
    const input = make("input", { id: `id_${name}`, name, autocomplete: "off", ...attributes });
    return make("div.field", {}, make("label", { for: input.id }, label), input, hint ? make("p.hint", {}, hint) : null);
  };
  const choices = (label, name, values, chosen, kind = "units") =>
    make(`fieldset.plain.${kind}`, { "aria-label": label, role: "radiogroup" }, ...values.map(([value, words]) =>
      make("label", {}, make("input", { type: "radio", name, value, checked: value === chosen }), make("span", {}, words))));

  // Keys under the thumb that type into an input; `next` parts widths.
  const pad = (input, keys = ["1", "2", "3", "back", "4", "5", "6", ".", "7", "8", "9", "0"]) => {
    const words = { back: "⌫", next: "Next width" };
    const types = (key) => {
      if (key === "back") input.value = input.value.replace(/(; |.)$/u, "");
      else if (key === "next") input.value = input.value.trim() && !/;\s*$/.test(input.value) ? `${input.value.trim()}; ` : input.value;
      else if (key !== "." || !/[.,][^;]*$/.test(input.value)) input.value += key;
      input.dispatchEvent(new Event("input", { bubbles: true }));
    };
    const box = make("div.weigh-pad", { role: "group", "aria-label": "Keys" }, ...keys.map((key) =>
      make(`button${key === "next" ? ".next" : ""}`, { type: "button", "data-key": key, "aria-label": key === "back" ? "Take the last sign back" : null, on: { click: () => types(key) } }, words[key] ?? key)));
    const own = make("button.own-keys", { type: "button", on: { click: () => { input.inputMode = "text"; box.hidden = own.hidden = true; input.focus(); } } }, "Keyboard");
    if (matchMedia("(pointer: coarse)").matches) {
      input.inputMode = "none";
      box.addEventListener("pointerdown", (event) => event.preventDefault());
    } else box.hidden = own.hidden = true;
    return make("div.pad-and-own", {}, box, own);
  };

  const notice = (kind, word, words) => make(`p.notice${kind ? `.${kind}` : ""}`, {}, make("strong.notice-word", {}, word), ` ${words}`);
  const head = (title, under = "", back = null) =>
    make("div.page-head", {}, make("div", {}, back ? make("a.back", { href: back[1] }, back[0]) : null, make("h1", {}, title), under ? make("p.under", {}, under) : null));

  return { LB, make, written, pounds, day, clock, field, choices, pad, notice, head };
})();
