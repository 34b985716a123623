// The phone's page: which screen shows, what waits, what was taken along. Works the same with and without signal.
"use strict";

(() => {
  const { make, notice, head } = YardParts;
  const TRY_EVERY_MS = 15000;
  const OLD_HOURS = 20;
  const RAIN = 1.02; // as on the server: outdoors wood takes up rain
  const main = document.getElementById("main");
  const saying = make("div", { id: "said" });
  const shown = make("div", { id: "screen" });
  const sendButton = document.getElementById("send");
  let pack = null;
  let kept = {};
  let saidKept = null;
  let dirty = false; // something is being typed
  let drawn = "";

  // ---- What screens ask of the page
  const app = {
    get kept() { return kept; },
    things: () => YardStore.all("things"),
    units: () => pack?.person.units ?? "imperial",
    unit: async () => kept.unit ?? (app.units() === "metric" ? "kg" : "lb"),
    setUnit: (unit) => remember({ unit }),
    // On the disk of the phone first; only then is it said, and sent.
    async keep(record, mended = null) {
      const person = (await YardStore.get("person")) ?? null;
      let number;
      try {
        if (mended) {
          number = mended.number;
          await YardStore.change(number, { ...record, state: "waiting", reason: "", may_confirm: false });
        } else {
          const whole = { ...record, device: kept.device, units: app.units(), person: person?.id ?? null, person_name: person?.name ?? "" };
          ({ number } = await YardStore.add(whole));
        }
      } catch {
        return false;
      }
      await remember({ meter_species: kept.meter_species });
      saidKept = { number, code: record.typed.code, label: record.label };
      if (mended) location.hash = "#/waiting";
      else {
        await draw();
        window.scrollTo(0, 0);
      }
      navigator.serviceWorker?.ready.then((registration) => registration.sync?.register("send")).catch(() => {});
      YardSend.send();
      return true;
    },
    // Ticked off, and the next outlook knows of it, before the server does.
    async weighed(thing, lb, cohort = null) {
      if (lb !== null && !thing.unknown) {
        const low = thing.low === null ? null : Math.min(thing.low, lb);
        await YardStore.setThing({ ...thing, last: lb, last_on: new Date().toISOString(), expected: lb, low, high: lb * RAIN, basis: "its last weight" });
      }
      const woods = cohort ? [Number(cohort)] : (thing.woods ?? []).map(([id]) => id);
      if (!pack || woods.length !== 1) return; // a stack of several woods tells of none of them alone
      pack.done = [...new Set([...(pack.done ?? []), woods[0]])];
      await YardStore.set("pack", pack);
    },
    insist: async (record) => {
      await YardStore.change(record.number, { typed: { ...record.typed, confirmed: true }, state: "waiting", reason: "" });
      await draw();
      YardSend.send();
    },
    takeOver: async (record) => {
      const person = (await YardStore.get("person")) ?? null;
      await YardStore.change(record.number, { person: person?.id ?? null, person_name: person?.name ?? "" });
      await draw();
      YardSend.send();
    },
    drop: async (record) => {
      await YardStore.remove(record.number);
      await draw();
    },
    rowsOf: async (code) => [...(await YardStore.all("arrived")), ...(await YardStore.all("queue"))]
      .filter((record) => record.kind === "slab" && record.typed.code === code && Date.now() - new Date(record.made_at) < 36e5 * OLD_HOURS)
      .sort((one, other) => other.number - one.number),
    lastSlab: async (code) => (await app.rowsOf(code))[0]?.typed,
  };
  const remember = async (changes) => {
    kept = { ...kept, ...changes };
    await YardStore.set("settings", kept).catch(() => {});
  };

  // ---- Screens
  const find = async (code) => (await YardStore.thing(code)) ?? { code, tag: code, kind: "sample", unknown: true };
  const wayOf = { meter: "meter", "oven section": "oven" };

  const stopHref = (stop) => `/phone/#/weigh/${stop.code}/${wayOf[stop.what] ?? "weight"}`;

  const round = async () => {
    const old = pack && Date.now() - new Date(pack.made_at) > 36e5 * OLD_HOURS;
    const take = make("button.button.wide", { type: "button", on: { click: takeAlong } }, pack ? "Take along anew" : "Take along");
    const taken = make("p.small.soft", {}, pack ? `Taken along ${YardParts.clock(pack.made_at)}. ` : "Nothing is on this phone yet: press while there is signal.");
    const todo = (pack?.round ?? []).filter((stop) => !pack.done?.includes(stop.cohort));
    const done = (pack?.round ?? []).filter((stop) => pack.done?.includes(stop.cohort));
    const line = (stop, ticked) => make(ticked ? "li.ticked" : "li", {}, make("a", { href: stopHref(stop) },
      make("span.way-words", {}, `${ticked ? "✓ " : ""}${stop.bay ? `${stop.bay}: ` : ""}${stop.tag}${stop.tag === stop.stack ? "" : ` in ${stop.stack}`}`),
      make("span.way-about", {}, ticked ? "Done" : `${stop.how}, ${stop.why}`)));
    return [
      head("The round", pack?.round.length ? `${done.length} of ${pack.round.length} done, in walking order` : ""),
      old ? notice("caution", "Mind", "This is of another day: take along anew when there is signal.") : null,
      pack && !pack.round.length ? make("div.empty", {}, make("p", {}, make("strong", {}, "Nothing is worth a walk today."))) : null,
      todo.length || done.length ? make("ol.way-list", {}, ...todo.map((stop) => line(stop, false)), ...done.map((stop) => line(stop, true))) : null,
      make("div.section", {}, taken, take),
    ];
  };

  const label = async () => {
    const input = make("input", { id: "id_q", name: "q", autocapitalize: "characters", autocomplete: "off", spellcheck: "false", enterkeyhint: "go" });
    const found = make("ul.way-list", { hidden: true });
    const things = await app.things();
    const match = (text) => {
      const wanted = text.trim().toUpperCase();
      const code = wanted.replace(/[\s.-]/g, "");
      if (!wanted) return [];
      return things.filter((thing) => thing.code === code || thing.tag.toUpperCase().startsWith(wanted)).slice(0, 12);
    };
    const to = (thing) => (thing.kind === "log" ? `/phone/#/saw/${thing.code}` : `/phone/#/weigh/${thing.code}`);
    input.addEventListener("input", () => {
      const some = match(input.value);
      found.hidden = !some.length;
      found.replaceChildren(...some.map((thing) => make("li", {}, make("a", { href: to(thing) }, make("span.way-words", {}, thing.tag), make("span.way-about", {}, [thing.kind, thing.stack && thing.kind !== "stack" ? `stack ${thing.stack}` : "", thing.bay].filter(Boolean).join(" · "))))));
    });
    const element = make("form.form.card", {}, make("div.field", {}, make("label", { for: "id_q" }, "Code or tag"), input, make("p.hint", {}, "Or scan the label with the phone's own camera.")), make("button.button.primary.wide", {}, "Open"));
    element.addEventListener("submit", (event) => {
      event.preventDefault();
      const exact = match(input.value).find((thing) => thing.code === input.value.trim().toUpperCase().replace(/[\s.-]/g, "")) ?? match(input.value)[0];
      const code = input.value.trim().toUpperCase().replace(/[\s.-]/g, "");
      if (exact) location.hash = to(exact).slice("/phone/".length);
      else if (/^[2-9A-Z]{4,8}$/.test(code)) location.hash = `#/weigh/${code}`;
      else found.replaceChildren(make("li", {}, notice("caution", "Not found", "Not among what was taken along.")));
    });
    return [head("A label"), element, found];
  };

  const mend = async (number) => {
    const record = (await YardStore.all("queue")).find((one) => one.number === Number(number));
    if (!record) return [head("Mend"), notice("", "Note", "It is no longer here.")];
    const why = record.reason ? notice("danger", "Refused", record.reason) : null;
    const thing = await find(record.typed.code);
    if (record.kind === "slab") return [why, ...(await YardTally.show({ slabs: 0, tag: thing.tag, wood: "", size: "", ...thing }, app, record))];
    const way = { reading: "meter", section: "oven", photo: "photo" }[record.kind] ?? "weight";
    const mended = record.kind === "stack-weighing" ? { ...thing, kind: "stack" } : thing;
    const [title, , screen] = await YardWeigh.show(mended, way, app, record);
    return [title, why, screen];
  };

  // The way on, so that a round is one thumb's work: the next stop that is not ticked.
  const onward = () => {
    const next = pack?.round.find((stop) => !pack.done?.includes(stop.cohort));
    if (!next || !pack.done?.length) return null;
    return make("a.button.wide", { href: stopHref(next) }, `Next on the round: ${next.bay ? `${next.bay}, ` : ""}${next.tag}`);
  };

  const after = async () => {
    if (!saidKept) return null;
    const arrived = (await YardStore.all("arrived")).find((record) => record.number === saidKept.number);
    const waits = (await YardStore.all("queue")).find((record) => record.number === saidKept.number);
    if (arrived) return notice("good", "Arrived", `${arrived.label}. ${arrived.says}`);
    if (waits?.state === "refused") return make("p.notice.danger", {}, make("strong.notice-word", {}, "Refused"), ` ${waits.label}. ${waits.reason} `, make("a", { href: `/phone/#/mend/${waits.number}` }, "Mend it"));
    if (waits) return notice("good", "Kept", `${waits.label}. It is on the phone and waits to be sent.`);
    return null;
  };

  const screen = async () => {
    const scanned = /^\/(?:[cC]|weigh)\/([2-9A-Za-z]{4,8})(?:\/(meter|oven|stack))?\/?$/.exec(location.pathname);
    const saw = /^\/logs\/(\d+)\/saw\/?$/.exec(location.pathname);
    const parts = location.hash.replace(/^#\/?/, "").split("/");
    if (!location.hash && scanned) {
      const thing = await find(scanned[1].toUpperCase());
      return thing.kind === "log" ? ["saw", thing.code] : ["weigh", thing.code, scanned[2]];
    }
    if (!location.hash && saw) {
      const log = (await app.things()).find((thing) => thing.kind === "log" && thing.id === Number(saw[1]));
      return log ? ["saw", log.code] : ["mill"];
    }
    if (location.pathname !== "/phone/" && !location.hash) return ["away"];
    return parts;
  };

  // One drawing at a time: a later one never ends before an earlier one.
  let drawing = null;
  let again = false;
  const draw = () => {
    again = true;
    drawing ??= (async () => {
      while (again) {
        again = false;
        await drawOnce();
      }
      drawing = null;
    })();
    return drawing;
  };
  const drawOnce = async () => {
    const [name, one, two] = await screen();
    let parts;
    if (name === "round") parts = await round();
    else if (name === "weigh") {
      const thing = await find(one.toUpperCase());
      parts = await YardWeigh.show(thing, thing.kind === "log" ? "photo" : two, app);
    } else if (name === "saw") {
      const log = await YardStore.thing(one.toUpperCase());
      parts = log ? await YardTally.show(log, app) : [head("Mill"), notice("caution", "Mind", "This log was not taken along.")];
    } else if (name === "mill") parts = await YardTally.mill(app);
    else if (name === "waiting") parts = await YardWaiting.show(app);
    else if (name === "mend") parts = await mend(one);
    else if (name === "away") parts = [head("No signal"), notice("", "Note", "This page needs signal. What stands below works without."), make("p.section", {}, make("a.button.wide", { href: location.href }, "Try again"))];
    else parts = await label();
    shown.replaceChildren(...parts.filter(Boolean));
    dirty = false;
    drawn = name;
    document.body.classList.toggle("typing", ["weigh", "saw", "mend"].includes(name));
    for (const link of document.querySelectorAll("#tabs a")) {
      const here = new URL(link.href).hash.replace(/^#\/?/, "");
      const under = { weigh: "", saw: "mill", mend: "waiting" }[name] ?? name;
      if (link.pathname === "/phone/" && here === under) link.setAttribute("aria-current", "page");
      else link.removeAttribute("aria-current");
    }
    await tell();
  };
  // What was kept last, and what came of it; what is being typed meanwhile stays.
  const tell = async () => {
    const said = ["weigh", "saw", "", "waiting"].includes(drawn) ? await after() : null;
    saying.replaceChildren(...[said, said && drawn === "weigh" ? onward() : null].filter(Boolean));
    await bar();
  };

  // ---- The bar: how many wait, and why
  const WHY = {
    signal: "No signal", login: "Log in to send", role: "Your role may not write things down",
  };
  const bar = async () => {
    const queue = await YardStore.all("queue");
    const refused = queue.filter((record) => record.state === "refused").length;
    const waiting = queue.length - refused;
    const { trouble, person, sending } = YardSend.now();
    const words = waiting ? `${waiting} wait${waiting === 1 ? "s" : ""} here` : "Nothing waits";
    document.getElementById("state-words").textContent = refused ? `${words}, ${refused} refused` : words;
    const more = document.getElementById("state-more");
    const why = sending ? "Sending" : WHY[trouble] ?? (trouble ? "The server has trouble; it is tried again" : navigator.onLine ? "" : "No signal");
    more.replaceChildren(why);
    if (trouble === "login") more.replaceChildren(make("a", { href: `/login/?next=${encodeURIComponent("/phone/#/waiting")}` }, "Log in to send"));
    if (refused && !trouble) more.replaceChildren(make("a", { href: "/phone/#/waiting" }, "See why"));
    sendButton.hidden = !waiting;
    document.getElementById("bar").classList.toggle("waits", Boolean(waiting));
    document.getElementById("bar").classList.toggle("refused", Boolean(refused));
    document.body.dataset.waiting = waiting;
    document.body.dataset.refused = refused;
    document.body.dataset.person = person?.id ?? "";
  };

  const takeAlong = async () => {
    try {
      const answer = await fetch("/phone/pack/", { credentials: "same-origin", redirect: "manual", cache: "no-store" });
      if (answer.type === "opaqueredirect") {
        saying.replaceChildren(make("p.notice", {}, make("strong.notice-word", {}, "Note"), " ", make("a", { href: `/login/?next=${encodeURIComponent("/phone/#/round")}` }, "Log in first"), ", then this phone takes along what you need in the yard."));
        return;
      }
      if (!answer.ok) return;
      const fresh = await answer.json();
      const today = new Date().toDateString();
      fresh.done = pack && new Date(pack.made_at).toDateString() === today ? pack.done ?? [] : [];
      fresh.round = keepTicked(fresh, pack, today);
      fresh.taken_at = Date.now(); // by this phone's own clock, which may be wrong, to tell how long ago that was
      await YardStore.takeAlong(fresh);
      await YardStore.set("person", fresh.person);
      pack = await YardStore.get("pack");
      if (dirty) await tell(); // a figure half typed is not drawn over
      else await draw();
    } catch {
      // no signal: what was taken along before stays
    }
  };
  // What was measured is no longer worth it for the server; on the list of the day it stays, ticked.
  const keepTicked = (fresh, before, today) => {
    if (!before || new Date(before.made_at).toDateString() !== today) return fresh.round;
    const there = new Set(fresh.round.map((stop) => stop.cohort));
    return [...fresh.round, ...before.round.filter((stop) => before.done?.includes(stop.cohort) && !there.has(stop.cohort))];
  };

  const start = async () => {
    kept = (await YardStore.get("settings")) ?? {};
    if (!kept.device) await remember({ device: YardStore.newKey() });
    pack = (await YardStore.get("pack")) ?? null;
    await draw();
    if ("serviceWorker" in navigator) navigator.serviceWorker.register("/phone/worker.js", { scope: "/" }).catch(() => {});
    navigator.storage?.persist?.().catch(() => {});
    await YardSend.send();
    if (!pack || Date.now() - (pack.taken_at ?? 0) > 6e5) await takeAlong();
  };

  main.append(saying, shown);
  shown.addEventListener("input", () => {
    dirty = true;
  });
  YardSend.listen(async () => {
    if (dirty || ["weigh", ""].includes(drawn)) await tell();
    else await draw();
  });
  sendButton.addEventListener("click", async () => {
    await YardSend.send();
    await bar();
  });
  window.addEventListener("hashchange", () => {
    saidKept = null;
    draw().then(() => window.scrollTo(0, 0));
  });
  window.addEventListener("online", () => YardSend.send());
  window.addEventListener("offline", bar);
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden) YardSend.send();
  });
  setInterval(async () => {
    if (document.body.dataset.waiting !== "0" && !document.hidden) await YardSend.send();
  }, TRY_EVERY_MS);
  start();
})();
