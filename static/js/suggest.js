// Suggestions under an input marked data-suggests="/url/": arrows and Enter, or a tap, take one over.
"use strict";

(() => {
  const WAIT_MS = 150;
  let made = 0;

  const dress = (input) => {
    const list = document.createElement("ul");
    list.className = "suggestions";
    list.id = `suggestions-${++made}`;
    list.setAttribute("role", "listbox");
    list.setAttribute("aria-label", "Suggestions");
    list.hidden = true;
    const around = document.createElement("span");
    around.className = "suggests";
    input.before(around);
    around.append(input, list);
    input.setAttribute("role", "combobox");
    input.setAttribute("aria-autocomplete", "list");
    input.setAttribute("aria-expanded", "false");
    input.setAttribute("aria-controls", list.id);

    let found = [];
    let at = -1;
    let timer = 0;
    let asked = 0;

    const close = () => {
      list.hidden = true;
      at = -1;
      input.setAttribute("aria-expanded", "false");
      input.removeAttribute("aria-activedescendant");
    };
    const mark = (number) => {
      at = (number + found.length) % found.length;
      [...list.children].forEach((line, index) => line.setAttribute("aria-selected", String(index === at)));
      list.children[at].scrollIntoView({ block: "nearest" });
      input.setAttribute("aria-activedescendant", list.children[at].id);
    };
    const take = (number) => {
      const chosen = found[number];
      input.value = chosen.value;
      for (const [id, value] of Object.entries(chosen.fill ?? {})) {
        const other = document.getElementById(id);
        if (other) other.value = value;
      }
      close();
      input.dispatchEvent(new Event("change", { bubbles: true }));
    };
    const show = () => {
      list.replaceChildren(
        ...found.map((one, index) => {
          const line = document.createElement("li");
          line.id = `${list.id}-${index}`;
          line.setAttribute("role", "option");
          line.setAttribute("aria-selected", "false");
          line.append(one.value);
          if (one.about) {
            const about = document.createElement("small");
            about.textContent = one.about;
            line.append(about);
          }
          line.addEventListener("pointerdown", (event) => event.preventDefault());
          line.addEventListener("click", () => take(index));
          return line;
        }),
      );
      at = -1;
      list.hidden = found.length === 0;
      input.setAttribute("aria-expanded", String(found.length > 0));
    };
    const ask = async () => {
      const typed = input.value.trim();
      const number = ++asked;
      if (!typed) {
        close();
        return;
      }
      try {
        const answer = await fetch(`${input.dataset.suggests}?q=${encodeURIComponent(typed)}`);
        if (!answer.ok) return;
        const body = await answer.json();
        if (number !== asked || document.activeElement !== input) return;
        found = body.found;
        show();
      } catch {
        close(); // no signal: typing goes on without suggestions
      }
    };

    input.addEventListener("input", () => {
      clearTimeout(timer);
      timer = setTimeout(ask, WAIT_MS);
    });
    input.addEventListener("keydown", (event) => {
      if (list.hidden) return;
      if (event.key === "ArrowDown") mark(at + 1);
      else if (event.key === "ArrowUp") mark(at < 0 ? found.length - 1 : at - 1);
      else if (event.key === "Enter" && at >= 0) take(at);
      else if (event.key === "Escape") close();
      else return;
      event.preventDefault();
    });
    input.addEventListener("blur", () => {
      clearTimeout(timer);
      asked += 1;
      close();
    });
  };

  const dressAll = (root) => {
    for (const input of root.querySelectorAll("input[data-suggests]:not([role])")) dress(input);
  };
  dressAll(document);
  document.addEventListener("htmx:load", (event) => dressAll(event.detail.elt.parentElement ?? document));
})();
