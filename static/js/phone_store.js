// What this phone keeps: records that wait, what was taken along, who wrote it. Used by pages and by the worker.
"use strict";

self.YardStore = (() => {
  const NAME = "slabwright";
  // Each version adds to the last; a record keeps the schema it was written with and is sent as that.
  const STEPS = [
    (db) => {
      db.createObjectStore("queue", { keyPath: "number", autoIncrement: true }).createIndex("key", "key", { unique: true });
      db.createObjectStore("things", { keyPath: "code" });
      db.createObjectStore("kept");
      db.createObjectStore("arrived", { keyPath: "number" });
    },
  ];
  const MOST_ARRIVED = 200;
  let opened;

  const open = () => {
    opened ??= new Promise((resolve, reject) => {
      const request = indexedDB.open(NAME, STEPS.length);
      request.onupgradeneeded = (event) => {
        for (const step of STEPS.slice(event.oldVersion)) step(request.result, request.transaction);
      };
      request.onsuccess = () => {
        const db = request.result;
        // A newer version of the program in another tab must not wait for this one.
        db.onversionchange = () => {
          db.close();
          opened = undefined;
        };
        db.onclose = () => {
          opened = undefined;
        };
        resolve(db);
      };
      request.onerror = () => {
        opened = undefined;
        reject(request.error);
      };
    });
    return opened;
  };

  // One transaction; resolves when it is on the disk, not merely under way.
  const within = async (stores, mode, work) => {
    const db = await open();
    return new Promise((resolve, reject) => {
      const transaction = db.transaction(stores, mode, { durability: "strict" });
      let result;
      transaction.oncomplete = () => resolve(result);
      transaction.onabort = () => reject(transaction.error ?? new Error("not kept"));
      work((name) => transaction.objectStore(name), (value) => {
        result = value;
      });
    });
  };
  const asked = (request, then) => {
    request.onsuccess = () => then(request.result);
  };

  // A key without crypto.randomUUID too, which plain HTTP does not have.
  const newKey = () => {
    if (self.crypto.randomUUID) return self.crypto.randomUUID();
    const bytes = self.crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] & 15) | 64;
    bytes[8] = (bytes[8] & 63) | 128;
    const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
    return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
  };

  const add = (record) =>
    within(["queue"], "readwrite", (store, give) => {
      const whole = { schema: 1, key: newKey(), made_at: new Date().toISOString(), state: "waiting", ...record };
      asked(store("queue").add(whole), (number) => give({ ...whole, number }));
    });
  const all = (name) => within([name], "readonly", (store, give) => asked(store(name).getAll(), give));
  const change = (number, changes) =>
    within(["queue"], "readwrite", (store) => {
      asked(store("queue").get(number), (record) => {
        if (record) store("queue").put({ ...record, ...changes });
      });
    });
  const remove = (number) => within(["queue"], "readwrite", (store) => store("queue").delete(number));
  // From waiting to arrived in one step: it is never in neither.
  const arrive = (number, says, href) =>
    within(["queue", "arrived"], "readwrite", (store) => {
      asked(store("queue").get(number), (record) => {
        if (!record) return;
        const { blob, ...plain } = record;
        store("arrived").put({ ...plain, says, href, arrived_at: new Date().toISOString() });
        store("queue").delete(number);
        asked(store("arrived").getAllKeys(), (keys) => {
          for (const key of keys.slice(0, Math.max(0, keys.length - MOST_ARRIVED))) store("arrived").delete(key);
        });
      });
    });
  const get = (name) => within(["kept"], "readonly", (store, give) => asked(store("kept").get(name), give));
  const set = (name, value) => within(["kept"], "readwrite", (store) => store("kept").put(value, name));

  const thing = (code) => within(["things"], "readonly", (store, give) => asked(store("things").get(code), give));
  const setThing = (one) => within(["things"], "readwrite", (store) => store("things").put(one));
  // The pack replaces what was taken along before, all or nothing.
  const takeAlong = ({ things, logs, ...pack }) =>
    within(["things", "kept"], "readwrite", (store) => {
      store("things").clear();
      for (const one of things) {
        store("things").put(one);
        if (one.slab) store("things").put({ ...one, code: one.slab });
      }
      for (const log of logs) store("things").put({ ...log, log_kind: log.kind, kind: "log" });
      store("kept").put({ ...pack, logs: logs.map((log) => log.code) }, "pack");
    });

  return { add, all, change, remove, arrive, get, set, thing, setThing, takeAlong, newKey };
})();
