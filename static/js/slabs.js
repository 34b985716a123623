// How many pieces are ticked, and what they come to; the button works without this.
"use strict";

(() => {
  const tell = () => {
    const bar = document.getElementById("choose-bar");
    if (!bar) return;
    const ticked = [...document.querySelectorAll("#choose-form input[name=slab]:checked")];
    const footage = ticked.reduce((sum, box) => sum + Number(box.dataset.bf), 0);
    bar.classList.toggle("some", ticked.length > 0);
    document.getElementById("choose-words").textContent = ticked.length
      ? `${ticked.length} chosen, ${Math.round(footage).toLocaleString("en")} bf green`
      : "Tick loose pieces to stack them.";
  };
  document.addEventListener("change", (event) => {
    if (event.target.matches("#choose-form input[name=slab]")) tell();
  });
  document.addEventListener("htmx:afterSwap", tell);
  window.addEventListener("pageshow", tell);
  tell();
})();
