// The air's EMC over the last year beside the usual year.
"use strict";

document.getElementById("weather-chart").replaceChildren();
document.getElementById("weather-chart").setAttribute("role", "img");
Chart.draw(
  "weather-chart",
  (colour) => {
    const { days, emc, usual, temp, from, unit } = Chart.data("weather-data");
    const words = days.map((_, n) => `EMC ${emc[n].toFixed(1)}%, ${temp[n].toFixed(0)} ${unit} (${from[n]})`);
    return [
      { x: days, y: usual, mode: "lines", line: { width: 2, dash: "dot", color: colour("ink-soft") }, hoverinfo: "skip" },
      { x: days, y: emc, text: words, mode: "lines", line: { width: 2.5, color: colour("accent") }, hovertemplate: "%{text}<extra></extra>" },
    ];
  },
  () => ({ margin: { l: 48, r: 8, t: 8, b: 36 }, yaxis: { title: { text: "EMC, %" }, rangemode: "tozero" }, xaxis: { type: "date", tickformat: "%b %Y" } }),
);
