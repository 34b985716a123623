// Takes the browser's time zone over, as long as nobody has chosen one.
"use strict";

(() => {
  const zones = document.getElementById("id_time_zone");
  const here = Intl.DateTimeFormat().resolvedOptions().timeZone;
  if (zones && zones.value === "UTC" && [...zones.options].some((one) => one.value === here)) zones.value = here;
})();
