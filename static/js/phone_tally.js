// The tally at the mill: slabs of a log, one after another, also where there is no signal.
"use strict";

self.YardTally = (() => {
  const { make, field, choices, pad, notice, head } = YardParts;
  const KINDS = [["live_edge", "Live edge"], ["board", "Board"], ["beam", "Beam"], ["blank", "Blank"], ["lot", "Lot of boards"]];
  // What is sawn most (common practice, no source), as on the saw's own page.
  const THICKNESSES = { imperial: ["4/4", "5/4", "6/4", "8/4", "10/4", "12/4"], metric: ["27", "34", "41", "54", "65", "80"] };
  const KEYS = {
    imperial: ["7", "8", "9", "½", "4", "5", "6", "¼", "1", "2", "3", "¾", ".", "0", "back", "next"],
    metric: ["7", "8", "9", "back", "4", "5", "6", ".", "1", "2", "3", "0", "next"],
  };
  const WIDTHS = { imperial: [4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14], metric: [10, 12, 14, 16, 18, 20, 22, 24, 26, 28, 30] };

  const chips = (label, values, press) =>
    make("div.chips", { role: "group", "aria-label": label }, ...values.map((value) =>
      make("button.chip", { type: "button", "data-value": value, on: { click: () => press(String(value)) } }, value === "back" ? "Back" : String(value))));

  const show = async (log, app, mended = null) => {
    const units = mended?.units ?? app.units();
    const last = mended?.typed ?? (await app.lastSlab(log.code)) ?? { kind: log.log_kind, thickness_in: log.thickness, length_in: log.length };
    const rows = mended ? [] : await app.rowsOf(log.code);
    const thickness = field("Thickness", "thickness_in", { value: last.thickness_in });
    const length = field("Length", "length_in", { value: last.length_in });
    const widths = field("Widths, butt to top", "widths_in", { value: mended?.typed.widths_in, inputmode: "decimal" }, "At equal steps; one where it is edged.");
    const tally = field("Boards by width", "tally", { value: mended?.typed.tally });
    const [widthInput, tallyInput, thickInput] = [widths, tally, thickness].map((one) => one.querySelector("input"));
    const kinds = choices("Kind", "kind", KINDS, last.kind, "kinds");
    const forWidths = make("div", {}, widths, pad(widthInput, KEYS[units]));
    const forLot = make("div", {}, tally, chips("One board of this width", [...WIDTHS[units], "back"], (value) => {
      const words = tallyInput.value.trim().split(/\s+/).filter(Boolean);
      if (value === "back") words.pop();
      else words.push(value);
      tallyInput.value = words.join(" ");
    }));
    const pick = () => {
      const lot = kinds.querySelector(":checked")?.value === "lot";
      forWidths.hidden = lot;
      forLot.hidden = !lot;
    };
    kinds.addEventListener("change", pick);
    pick();

    const says = make("div", { role: "status" });
    const button = make("button.button.primary.wide", {}, mended ? "Save" : "Add slab");
    const number = log.slabs + rows.filter((row) => !row.arrived_at).length + 1;
    const check = (name, words, on) => make("label.check", {}, make("input", { type: "checkbox", name, checked: on }), make("span", {}, words));
    // What stays the same from slab to slab folds away once it is known: keys and button then fit on the screen.
    const lengthInput = length.querySelector("input");
    const summary = make("summary");
    const same = make("details.more.same", { open: !last.thickness_in || Boolean(mended) }, summary, kinds,
      make("div.phone-sizes", {}, thickness, length),
      chips("Usual thicknesses", THICKNESSES[units], (value) => { thickInput.value = value; sum(); }),
      check("sealed", "Ends sealed", Boolean(last.sealed)));
    const sum = () => {
      const kind = KINDS.find(([key]) => key === kinds.querySelector(":checked")?.value)?.[1] ?? "";
      summary.textContent = [kind, thickInput.value, lengthInput.value].filter(Boolean).join(", ") || "Kind and sizes";
    };
    same.addEventListener("input", sum);
    kinds.addEventListener("change", sum);
    sum();
    const element = make("form.form.card.scripted", { novalidate: true },
      mended ? null : make("h2", {}, `Next: slab ${number}`), same, forWidths, forLot, says, make("div.weigh-save", {}, button));
    element.addEventListener("submit", async (event) => {
      event.preventDefault();
      if (button.disabled) return;
      const data = Object.fromEntries([...new FormData(element)].map(([name, value]) => [name, String(value).trim()]));
      const lot = data.kind === "lot";
      if (!data.thickness_in || !data.length_in || !(lot ? data.tally : data.widths_in)) {
        same.open = same.open || !data.thickness_in || !data.length_in;
        says.replaceChildren(notice("caution", "Not yet", `Type thickness, length and ${lot ? "the boards" : "at least one width"}.`));
        return;
      }
      button.disabled = true;
      const typed = { code: log.code, kind: data.kind, thickness_in: data.thickness_in, length_in: data.length_in };
      typed[lot ? "tally" : "widths_in"] = (lot ? data.tally : data.widths_in).replace(/;\s*$/, "");
      if (data.sealed) typed.sealed = "on";
      for (const name of ["grade", "note", "tag", "quarters", "width_basis"]) if (mended?.typed[name]) typed[name] = mended.typed[name];
      const size = lot ? typed.tally : typed.widths_in;
      const kept = await app.keep({ kind: "slab", typed, label: `${log.tag}: ${typed.thickness_in}, ${size} × ${typed.length_in}` }, mended);
      button.disabled = false;
      if (!kept) says.replaceChildren(notice("danger", "Not kept", "The phone has no room to keep this. Write it on paper, and free some room."));
    });
    const list = rows.length
      ? make("ol.phone-rows", { reversed: true }, ...rows.map((row) => make("li", {}, make("span", {}, row.label.slice(log.tag.length + 2)), " ", make(`span.badge${row.arrived_at ? ".good" : row.state === "refused" ? ".danger" : ".caution"}`, {}, row.arrived_at ? "Arrived" : row.state === "refused" ? "Refused" : "Waits here"), row.says ? make("span.small", {}, ` ${row.says}`) : null)))
      : make("p.soft", {}, "Nothing written down on this phone yet.");
    return [
      head(`Saw log ${log.tag}`, `${log.wood}, ${log.size}`), element,
      mended ? null : make("section.section", {}, make("h2", {}, "From this phone"), list),
      mended ? null : make("p.small", {}, make("a", { href: `/phone/#/weigh/${log.code}/photo` }, "Photo of the log"), " · ", make("a", { href: `/logs/${log.id}/saw/` }, "The saw's own page (needs signal)")),
    ];
  };

  const mill = async (app) => {
    const logs = (await app.things()).filter((thing) => thing.kind === "log");
    logs.sort((one, other) => Number(other.on_mill) - Number(one.on_mill));
    if (!logs.length) return [head("Mill"), make("div.empty", {}, make("p", {}, make("strong", {}, "No logs were taken along.")), make("p", {}, "With signal, press “Take along” under Round."))];
    return [head("Mill", "The tally works without signal."), make("ul.way-list", {}, ...logs.map((log) =>
      make("li", {}, make("a", { href: `/phone/#/saw/${log.code}` }, make("span.way-words", {}, `${log.tag}${log.on_mill ? " · on the mill" : ""}`), make("span.way-about", {}, `${log.wood}, ${log.size}`)))))];
  };

  return { show, mill };
})();
