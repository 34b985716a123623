// Charts in the page's own colours: Chart.draw("id", traces, layout). Loaded after plotly, by chart pages only.
"use strict";

const Chart = (() => {
  const colour = (name) => getComputedStyle(document.documentElement).getPropertyValue(`--${name}`).trim();

  const layoutOf = (own) => {
    const ink = colour("ink");
    const axis = { gridcolor: colour("line"), linecolor: colour("line-strong"), zerolinecolor: colour("line"), automargin: true };
    return {
      autosize: true,
      paper_bgcolor: "rgba(0,0,0,0)",
      plot_bgcolor: "rgba(0,0,0,0)",
      font: { family: getComputedStyle(document.body).fontFamily, size: 14, color: ink },
      margin: { l: 48, r: 12, t: 12, b: 40 },
      showlegend: false,
      hovermode: "x unified",
      hoverlabel: { bgcolor: colour("sheet"), bordercolor: colour("line-strong"), font: { color: ink } },
      colorway: [colour("accent"), colour("danger"), colour("info"), colour("caution"), colour("good")],
      ...own,
      xaxis: { ...axis, ...own?.xaxis },
      yaxis: { ...axis, ...own?.yaxis },
    };
  };

  const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
  const config = { displayModeBar: false, responsive: true, scrollZoom: false, staticPlot: false, doubleClick: "reset" };

  // Draws, and draws again in the other colours when the device turns light or dark.
  const draw = (id, makeTraces, makeLayout = () => ({})) => {
    const place = document.getElementById(id);
    if (!place) return;
    const paint = () =>
      Plotly.react(place, makeTraces(colour), { ...layoutOf(makeLayout(colour)), transition: { duration: still ? 0 : 150 } }, config);
    paint();
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", paint);
  };

  const data = (id) => JSON.parse(document.getElementById(id).textContent);

  return { draw, data, colour };
})();
