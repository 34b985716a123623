// What every page needs: errors of in-place changes shown in words, buttons that cannot be pressed twice.
"use strict";

(() => {
  const say = (words) => {
    const place = document.getElementById("_messages");
    if (!place) return;
    const line = document.createElement("p");
    line.className = "notice danger";
    const word = document.createElement("strong");
    word.className = "notice-word";
    word.textContent = "Stop";
    line.append(word, ` ${words}`);
    place.replaceChildren(line);
    place.scrollIntoView({ block: "nearest" });
  };

  document.addEventListener("htmx:sendError", (event) => {
    if (event.defaultPrevented) return; // the phone has kept it
    say("No connection: this was not saved. What you typed is still here; try again.");
  });
  document.addEventListener("htmx:responseError", (event) => {
    const status = event.detail.xhr.status;
    if (status === 403) say("Your role does not include this, or the page is too old. Reload the page.");
    else if (status === 404) say("This is no longer here. Reload the page.");
    else say("The yard's server had a fault and did not save this. What you typed is still here.");
  });

  // A plain form sends once; going back to the page makes it usable again.
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (form.method !== "post" || form.hasAttribute("hx-post") || event.defaultPrevented) return;
    if (form.dataset.sent) {
      event.preventDefault();
      return;
    }
    form.dataset.sent = "yes";
    form.setAttribute("aria-busy", "true");
  });
  window.addEventListener("pageshow", () => {
    for (const form of document.querySelectorAll("form[data-sent]")) {
      delete form.dataset.sent;
      form.removeAttribute("aria-busy");
    }
  });

  // A select or checkbox marked so sends its form when it changes; the form's own button serves without script.
  document.addEventListener("change", (event) => {
    if (event.target.matches("[data-sends-form]")) event.target.form.requestSubmit();
  });
  document.addEventListener("click", (event) => {
    const button = event.target.closest("[data-prints]");
    if (button) window.print();
    const copy = event.target.closest("[data-copies]");
    if (copy) {
      const from = document.getElementById(copy.dataset.copies);
      navigator.clipboard?.writeText(from.value || from.textContent).then(() => {
        copy.textContent = "Copied";
      });
    }
  });

  // The list of pages is longer than a low window: the page that one is on stands in sight.
  const list = document.querySelector(".side-nav");
  const here = list?.querySelector("[aria-current]");
  if (here) list.scrollTop = here.offsetTop - list.offsetTop - list.clientHeight / 2;
})();
