// One thing on the scale: last, expected and plausible first, then the figure. Also meter, oven section and photo.
"use strict";

self.YardWeigh = (() => {
  const { make, written, pounds, day, field, choices, pad, notice, head, LB } = YardParts;
  const LONGEST_PX = 2000;
  const WAYS = [["weight", "Weight"], ["meter", "Meter"], ["oven", "Oven"], ["photo", "Photo"]];

  const outlook = (thing, unit) => {
    const lb = (value) => (value === null || value === undefined ? "not known" : written(value, unit));
    const range = thing.low === null || thing.low === undefined ? "not known" : `${written(thing.low, unit).replace(/ \w+$/, "")} to ${written(thing.high, unit)}`;
    const line = (term, value, small) => make("div", {}, make("dt", {}, term), make("dd", {}, make("strong", {}, value), small ? make("span.soft.small", {}, ` ${small}`) : null));
    return make("dl.card.outlook", { "aria-label": "Before you weigh" },
      line("Last", thing.last ? written(thing.last, unit) : "not yet", day(thing.last_on)), line("Expected", lb(thing.expected)), line("Plausible", range));
  };

  // What is to be asked about before it is kept; null when nothing is. The server asks the same.
  const doubt = (thing, lb, unit) => {
    if (lb === null) return null;
    if (lb <= 0) return { words: "A weight is more than nothing: type what the scale shows.", sure: false };
    const { ceiling, floor } = thing;
    if (ceiling && lb > ceiling) return { words: `It can weigh at most ${written(ceiling, unit)}, soaked through. Look at the decimal point, the unit, and that it is this piece.`, sure: false };
    if (floor && lb < floor) return { words: `It weighs at least ${written(floor, unit)}, even bone dry. Look at the decimal point, the unit, and that it is this piece.`, sure: false };
    if (thing.high && lb > thing.high) return { words: `That is heavier than it should be (at most ${written(thing.high, unit)}). Look at the scale again.`, sure: true };
    if (thing.low && lb < thing.low) return { words: `That is lighter than it should be (at least ${written(thing.low, unit)}). Look at the scale again.`, sure: true };
    return null;
  };

  const tabs = (thing, way) =>
    make("nav.tabs.weigh-tabs", { "aria-label": "What to write down" }, ...WAYS.map(([key, words]) =>
      make("a", { href: `/phone/#/weigh/${thing.code}/${key}`, "aria-current": key === way ? "page" : null }, words)));

  // Keep one record, then say so; the button stays down until it is on the phone.
  const form = (inside, save, { words = "Save" } = {}) => {
    const button = make("button.button.primary.wide", {}, words);
    const says = make("div", { role: "status" });
    const element = make("form.form.card.scripted", { novalidate: true }, ...inside, says, make("div.weigh-save", {}, button));
    element.addEventListener("submit", async (event) => {
      event.preventDefault();
      if (button.disabled) return;
      button.disabled = true;
      element.setAttribute("aria-busy", "true");
      try {
        await save(new FormData(element), says, event.submitter);
      } catch (error) {
        says.replaceChildren(notice("danger", "Not kept", "The phone has no room to keep this. Write it on paper, and free some room."));
      }
      button.disabled = false;
      element.removeAttribute("aria-busy");
    });
    return element;
  };

  const value = (data, name) => String(data.get(name) ?? "").trim();
  const sureButton = (data, text) => make("button.button.wide", { name: "confirmed", value: text }, "It is right: keep it");

  const weight = async (thing, app, mended) => {
    const unit = mended?.typed.unit ?? (await app.unit());
    const stack = thing.kind === "stack";
    const input = make("input", { id: "id_weight", name: "weight", inputmode: "decimal", autocomplete: "off", "aria-label": "Weight" });
    if (mended) input.value = mended.typed.weight;
    const units = choices("Unit of the scale", "unit", [["lb", "lb"], ["kg", "kg"]], unit);
    const known = make("div", {}, outlook(thing, unit));
    units.addEventListener("change", () => {
      const chosen = units.querySelector(":checked").value;
      app.setUnit(chosen);
      known.firstChild.replaceWith(outlook(thing, chosen));
    });
    const inside = [
      make("div.weigh-input.large", {}, input, units),
      pad(input),
      stack ? field("Taken off for stickers and bolsters", "tare", { inputmode: "decimal", value: mended?.typed.tare }, "The same each time, or empty each time.") : null,
    ].filter(Boolean);
    const element = form(inside, async (data, says, submitter) => {
      const typed = { code: thing.code, weight: value(data, "weight"), unit: value(data, "unit") };
      if (stack) typed.tare = value(data, "tare");
      if (!typed.weight) return void says.replaceChildren(notice("caution", "Not yet", "Type what the scale shows."));
      const tare = stack ? (pounds(typed.tare || "0", typed.unit) ?? 0) : 0;
      const lb = pounds(typed.weight, typed.unit);
      const asks = thing.unknown ? null : doubt(thing, lb === null ? null : lb - tare, typed.unit);
      if (asks && !(asks.sure && submitter?.name === "confirmed" && submitter.value === typed.weight)) {
        return void says.replaceChildren(notice("caution", "Mind", asks.words), asks.sure ? sureButton(data, typed.weight) : "");
      }
      if (asks) typed.confirmed = true;
      const label = `${thing.tag}: ${typed.weight} ${typed.unit}`;
      if (!mended) await app.weighed(thing, stack ? null : lb);
      if (!(await app.keep({ kind: stack ? "stack-weighing" : "weighing", typed, label }, mended))) throw new Error("not kept");
    });
    if (!stack) element.classList.add("sticks");
    if (stack) element.insertBefore(notice("caution", "Mind", "Lift within the loader's rating, on firm ground, with nobody near the load. The maker's manual decides."), element.lastChild);
    return make("div.phone-weigh", {}, known, element, thing.basis ? make("p.hint", {}, `The plausible range is by ${thing.basis}.`) : null);
  };

  const woods = (thing, mended) => {
    if (!(thing.woods?.length > 1)) return null;
    const select = make("select", { id: "id_cohort", name: "cohort" }, ...thing.woods.map(([id, words]) => make("option", { value: id, selected: String(mended?.typed.cohort) === String(id) }, words)));
    return make("div.field", {}, make("label", { for: "id_cohort" }, "Which wood"), select);
  };
  const all = (data) => Object.fromEntries([...data].map(([name, text]) => [name, String(text).trim()]));

  const meter = (thing, app, mended) => {
    const old = mended?.typed ?? {};
    return form([
      woods(thing, mended),
      field("The meter shows, %", "reading_pct", { inputmode: "decimal", value: old.reading_pct }),
      field("Depth of the pins", "depth_in", { value: old.depth_in ?? thing.depth ?? "" }),
      field("Temperature of the wood", "wood_temp_f", { value: old.wood_temp_f }, "Cold wood reads too dry. Empty: no correction is made."),
      field("Species that the meter is set to", "meter_species", { value: old.meter_species ?? app.kept.meter_species ?? "" }),
    ].filter(Boolean), async (data, says, submitter) => {
      const typed = { code: thing.code, ...all(data) };
      const reading = Number(typed.reading_pct.replace(",", "."));
      if (!typed.reading_pct) return void says.replaceChildren(notice("caution", "Not yet", "Type what the meter shows."));
      if ((reading < 7 || reading > 28) && submitter?.name !== "confirmed") {
        return void says.replaceChildren(notice("caution", "Mind", "Pins tell little outside about 7 to 28%. It can be kept, but it will count for nothing."), sureButton(data, typed.reading_pct));
      }
      if (submitter?.name === "confirmed") typed.confirmed = true;
      app.kept.meter_species = typed.meter_species;
      if (!mended) await app.weighed(thing, null, typed.cohort);
      if (!(await app.keep({ kind: "reading", typed, label: `${thing.tag}: meter ${typed.reading_pct}%` }, mended))) throw new Error("not kept");
    });
  };

  const oven = (thing, app, mended) => {
    const old = mended?.typed ?? {};
    const number = (label, name, hint) => field(label, name, { inputmode: "decimal", value: old[name] }, hint);
    return form([
      woods(thing, mended),
      number("Section, wet", "wet", "Weighed as soon as it was cut."),
      number("Section, oven-dry", "oven_dry", "When it loses no more weight at 103 °C (217 °F)."),
      choices("Unit of the section's scale", "bench_unit", [["g", "g"], ["oz", "oz"]], old.bench_unit ?? "g"),
      thing.sample ? number(`What is left of ${thing.tag} weighs`, "sample_weight", "Only if it was cut from this sample. It gives the sample's oven-dry weight.") : null,
      thing.sample ? choices("Unit of its scale", "unit", [["lb", "lb"], ["kg", "kg"]], old.unit ?? app.kept.unit ?? "lb") : null,
    ].filter(Boolean), async (data, says, submitter) => {
      const typed = { code: thing.code, ...all(data) };
      const [wet, dry] = [pounds(typed.wet, "g"), pounds(typed.oven_dry, "g")];
      if (!typed.wet || !typed.oven_dry) return void says.replaceChildren(notice("caution", "Not yet", "Type both weights of the section."));
      if (wet !== null && dry !== null && wet <= dry) return void says.replaceChildren(notice("caution", "Not yet", "Oven-dry as heavy as wet, or heavier: are the two the wrong way round?"));
      if (typed.sample_weight) typed.sample = thing.sample;
      if (submitter?.name === "confirmed") typed.confirmed = true;
      if (!mended) await app.weighed(thing, null, typed.cohort);
      if (!(await app.keep({ kind: "section", typed, label: `${thing.tag}: oven section` }, mended))) throw new Error("not kept");
    });
  };

  // Made small on the phone: a picture of 3 to 12 MB would wait long for signal.
  const smaller = async (file) => {
    try {
      const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
      const share = Math.min(1, LONGEST_PX / Math.max(picture.width, picture.height));
      const canvas = make("canvas");
      [canvas.width, canvas.height] = [Math.round(picture.width * share), Math.round(picture.height * share)];
      canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
      return (await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", 0.85))) ?? file;
    } catch {
      return file;
    }
  };
  const photo = (thing, app, mended) => {
    const input = make("input", { id: "id_photo", name: "photo", type: "file", accept: "image/*", capture: "environment" });
    return form([
      make("div.field", {}, make("label", { for: "id_photo" }, "Photo"), input),
      field("What it shows", "caption", { maxlength: 120, value: mended?.typed.caption }),
    ], async (data, says) => {
      const file = input.files[0];
      if (!file && !mended) return void says.replaceChildren(notice("caution", "Not yet", "Take the photo first."));
      const blob = file ? await smaller(file) : mended.blob;
      if (!(await app.keep({ kind: "photo", typed: { code: thing.code, caption: value(data, "caption") }, blob, label: `${thing.tag}: photo` }, mended))) throw new Error("not kept");
    });
  };

  const show = async (thing, way, app, mended = null) => {
    const where = [thing.stack && thing.kind !== "stack" ? `stack ${thing.stack}` : "", thing.bay, thing.place].filter(Boolean).join(" · ");
    const wood = thing.woods?.length === 1 ? thing.woods[0][1] : "";
    const under = [wood, where].filter(Boolean).join(" · ") || (thing.unknown ? "Not among what was taken along: it is looked up when it is sent." : "");
    const screen = { weight, meter, oven, photo }[way] ?? weight;
    const more = thing.unknown ? null : make("p.small", {}, make("a", { href: `/weigh/${thing.code}/${thing.kind === "stack" ? "stack/" : ""}` }, "Earlier weights (needs signal)"));
    return [head(thing.tag, under), tabs(thing, way in { meter: 1, oven: 1, photo: 1 } ? way : "weight"), await screen(thing, app, mended), more];
  };

  return { show, LB };
})();
