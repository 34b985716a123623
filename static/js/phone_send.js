// Sends what waits, in its order. Whatever happens on the way, a record leaves the queue only when the server has it.
"use strict";

self.YardSend = (() => {
  const AT_ONCE = 40;
  const PATIENCE_MS = 60000;
  const PATIENCE_SESSION_MS = 15000; // a few bytes; a connection that hangs must not hold up what waits
  const channel = "BroadcastChannel" in self ? new BroadcastChannel("slabwright-queue") : null;
  let token = null;
  let busy = null;
  let state = { trouble: "", person: undefined, may: true };

  const listeners = new Set();
  const tell = () => {
    for (const listener of listeners) listener(state);
    channel?.postMessage("changed");
  };
  if (channel) channel.onmessage = () => listeners.forEach((listener) => listener(state));

  const ask = async (url, options = {}, patience = PATIENCE_MS) => {
    const stop = new AbortController();
    const timer = setTimeout(() => stop.abort(), patience);
    try {
      return await fetch(url, { credentials: "same-origin", redirect: "manual", signal: stop.signal, ...options });
    } finally {
      clearTimeout(timer);
    }
  };

  // Who is logged in, and the token to send with; asked anew after every refusal.
  const session = async () => {
    const answer = await ask("/phone/session/", { cache: "no-store" }, PATIENCE_SESSION_MS);
    if (!answer.ok) throw new Error(`session ${answer.status}`);
    const found = await answer.json();
    token = found.csrf;
    state = { ...state, person: found.person, may: found.may };
    if (found.person) await YardStore.set("person", found.person);
    return found;
  };

  const post = async (url, body, headers = {}) => {
    for (const again of [false, true]) {
      if (!token || again) {
        const { person, may } = await session();
        if (!person) return { trouble: "login" };
        if (!may) return { trouble: "role" };
      }
      const answer = await ask(url, { method: "POST", body, headers: { "X-CSRFToken": token, ...headers } });
      if (answer.ok) return await answer.json();
      if (answer.type !== "opaqueredirect" && ![401, 403].includes(answer.status)) return { trouble: `server ${answer.status}` };
      token = null; // logged out, or the token is another now: once more with a fresh one
    }
    return { trouble: "login" };
  };

  const postRecords = (records) =>
    post(
      "/phone/records/",
      JSON.stringify({
        schema: 1,
        sent_at: new Date().toISOString(),
        device: records[0].device,
        records: records.map(({ key, kind, made_at, typed, units, number, person }) => ({ key, kind, made_at, typed, units, number, person })),
      }),
      { "Content-Type": "application/json" },
    );
  const postPhoto = (record) => {
    const form = new FormData();
    form.append("key", record.key);
    form.append("made_at", record.made_at);
    form.append("sent_at", new Date().toISOString());
    form.append("code", record.typed.code);
    form.append("caption", record.typed.caption ?? "");
    form.append("photo", record.blob, "photo.jpg");
    return post("/phone/photo/", form);
  };

  const settle = async (records, results) => {
    let later = "";
    for (const result of results) {
      const record = records.find((one) => one.key === result.key);
      if (!record) continue;
      if (result.state === "saved" || result.state === "known") await YardStore.arrive(record.number, result.says ?? "", result.href ?? "");
      else if (result.state === "refused" && result.field === "person") {
        state = { ...state, person: undefined }; // somebody else has logged in here meanwhile
        later = "person";
      } else if (result.state === "refused") {
        await YardStore.change(record.number, { state: "refused", reason: result.reason, field: result.field, may_confirm: result.may_confirm });
      } else later = result.reason;
    }
    return later;
  };

  const sendable = (record, person) => record.state === "waiting" && (!record.person || !person || record.person === person.id);

  const round = async () => {
    const { person } = state.person === undefined ? await session() : state;
    if (!person) return "login";
    for (;;) {
      const waiting = (await YardStore.all("queue")).filter((record) => sendable(record, state.person));
      if (!waiting.length) return "";
      const first = waiting[0].kind === "photo" ? waiting.slice(0, 1) : waiting.slice(0, AT_ONCE);
      const plain = first.filter((record) => record.kind !== "photo");
      const records = plain.length ? plain : first;
      const answer = plain.length ? await postRecords(records) : await postPhoto(records[0]);
      if (answer.trouble) return answer.trouble;
      const later = await settle(records, answer.results);
      tell();
      if (later) return later;
      if (!answer.results.length) return "server";
    }
  };

  const guarded = async () => {
    let trouble = "";
    if (self.navigator.onLine === false) {
      state = { ...state, trouble: "signal" };
      tell();
      return "signal";
    }
    try {
      trouble = await round();
    } catch (error) {
      trouble = "signal";
    }
    state = { ...state, trouble };
    tell();
    return trouble;
  };

  // One sender at a time, over all tabs where the phone can say so; the keys make a second one harmless.
  const send = () => {
    busy ??= (self.navigator.locks ? self.navigator.locks.request("slabwright-send", guarded) : guarded()).finally(() => {
      busy = null;
    });
    return busy;
  };

  return { send, session, listen: (listener) => listeners.add(listener), now: () => ({ ...state, sending: Boolean(busy) }) };
})();
