// A picture just taken waits in its form, which may stand far down the page: bring its button under the thumb.
"use strict";

document.addEventListener("change", (event) => {
  if (event.target.id !== "id_photo_taken" || !event.target.files.length) return;
  const button = event.target.form.querySelector("button");
  button.scrollIntoView({ block: "center" });
  button.focus({ preventScroll: true });
});
