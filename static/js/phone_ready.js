// On every page of who may write things down: the worker is at hand, what waits on this phone stays in sight and is
// sent, and a weight or a slab typed on its own page is on the phone before it is sent.
"use strict";

(() => {
  if (!("indexedDB" in window) || !window.YardStore) return;
  const PATIENCE_MS = 8000;
  const NOT_TYPED = new Set(["csrfmiddlewaretoken", "client_key", "made_at", "cut_at", "repeat_key", "confirmed"]);
  const units = () => document.documentElement.dataset.units || "imperial";

  if ("serviceWorker" in navigator) navigator.serviceWorker.register("/phone/worker.js", { scope: "/" }).catch(() => {});

  // ---- What waits, on every page
  let slabsKept = false; // some of this page's slabs wait
  const line = document.createElement("a");
  line.className = "phone-waits";
  line.href = "/phone/#/waiting";
  const show = async () => {
    const queue = await YardStore.all("queue").catch(() => []);
    const refused = queue.filter((record) => record.state === "refused").length;
    const waiting = queue.length - refused;
    const words = [waiting ? `${waiting} ${waiting === 1 ? "waits" : "wait"} on this phone to be sent` : "", refused ? `${refused} refused` : ""].filter(Boolean).join(", ");
    line.textContent = words;
    if (!words) line.remove();
    else if (!line.isConnected) document.getElementById("main")?.before(line);
    if (slabsKept && !queue.some((record) => record.kind === "slab")) {
      slabsKept = false;
      document.dispatchEvent(new CustomEvent("slabwright:arrived"));
    }
  };
  YardSend.listen(show);
  const send = async () => {
    if ((await YardStore.all("queue").catch(() => [])).some((record) => record.state === "waiting")) await YardSend.send();
    await show();
  };
  window.addEventListener("online", send);
  document.addEventListener("visibilitychange", () => document.hidden || send());
  send();

  const typedIn = (data) => Object.fromEntries([...data].filter(([name]) => !NOT_TYPED.has(name)).map(([name, value]) => [name, String(value).trim()]));
  const keep = async (record) => {
    const person = (await YardStore.get("person")) ?? null;
    const settings = (await YardStore.get("settings")) ?? {};
    return YardStore.add({ device: settings.device ?? "", units: units(), person: person?.id ?? null, person_name: person?.name ?? "", ...record });
  };

  // ---- A weight, a reading, a section
  const KINDS = { "": "weighing", stack: "stack-weighing", meter: "reading", oven: "section" };
  const weigh = document.getElementById("weigh-form");
  const place = /^\/weigh\/([2-9A-Za-z]{4,8})\/(?:(stack|meter|oven)\/)?$/.exec(location.pathname);
  const weighed = async (data, button) => {
    const typed = { code: place[1].toUpperCase(), ...typedIn(data) };
    if (button?.name === "confirmed") typed.confirmed = true;
    const key = data.get("client_key");
    const title = document.querySelector("h1")?.textContent.trim() ?? typed.code;
    const { number } = await keep({ key, kind: KINDS[place[2] ?? ""], typed, label: `${title}: ${typed.weight ?? typed.reading_pct ?? "oven section"}` });
    await Promise.race([YardSend.send(), new Promise((resolve) => setTimeout(resolve, PATIENCE_MS))]);
    const arrived = (await YardStore.all("arrived")).find((record) => record.number === number);
    if (arrived) return arrived.href || "/weigh/";
    const left = (await YardStore.all("queue")).find((record) => record.number === number);
    if (left?.state !== "refused") return "/phone/#/waiting";
    await YardStore.remove(number); // the page itself shows what is wrong, and asks
    return null;
  };
  if (weigh && place) {
    weigh.addEventListener("submit", (event) => {
      const data = new FormData(weigh, event.submitter);
      // A record of another time goes the plain way: its time is the yard's, not this phone's.
      if (event.defaultPrevented || weigh.dataset.plain || data.get("made_at") || data.get("cut_at") || !data.get("client_key")) return;
      event.preventDefault();
      if (weigh.getAttribute("aria-busy")) return;
      weigh.setAttribute("aria-busy", "true");
      const plain = () => {
        weigh.dataset.plain = "yes";
        weigh.removeAttribute("aria-busy");
        weigh.requestSubmit(event.submitter);
      };
      weighed(data, event.submitter).then((to) => (to ? location.assign(to) : plain()), plain);
    });
  }

  // ---- A slab at the saw, when the line is dead
  document.addEventListener("htmx:sendError", (event) => {
    const form = event.target;
    if (form.id !== "saw-form" || event.detail.requestConfig?.parameters?.repeat) return;
    const code = document.getElementById("sheet")?.dataset.code;
    if (!code) return;
    event.preventDefault();
    const data = new FormData(form);
    const typed = { code, ...typedIn(data) };
    const size = typed.widths_in || typed.tally;
    keep({ key: data.get("client_key"), kind: "slab", typed, label: `${document.querySelector("h1 a")?.textContent ?? code}: ${typed.thickness_in}, ${size} × ${typed.length_in}` })
      .then(() => {
        slabsKept = true;
        form.querySelector("[name=client_key]").value = YardStore.newKey();
        for (const name of ["widths_in", "tally", "tag", "note"]) {
          const input = form.querySelector(`[name=${name}]`);
          if (input) input.value = "";
        }
        form.dispatchEvent(new CustomEvent("slabwright:kept", { bubbles: true }));
        return send();
      });
  }, { capture: true });
})();
