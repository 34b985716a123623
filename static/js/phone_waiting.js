// What waits on this phone, what the server refused and why, and what has arrived.
"use strict";

self.YardWaiting = (() => {
  const { make, clock, notice, head } = YardParts;
  const ARRIVED_SHOWN = 20;

  const one = (record, app, person) => {
    const refused = record.state === "refused";
    const others = record.person && person && record.person !== person.id;
    const actions = make("div.actions", {});
    if (refused) {
      actions.append(make("a.button.primary.small", { href: `/phone/#/mend/${record.number}` }, "Mend it"));
      if (record.may_confirm) {
        actions.append(make("button.button.small", { type: "button", on: { click: () => app.insist(record) } }, "It is right: send it"));
      }
    }
    if (refused || others) {
      const drop = make("button.button.quiet.small", { type: "button" }, "Throw it away");
      drop.addEventListener("click", () => {
        if (drop.dataset.sure) app.drop(record);
        else {
          drop.dataset.sure = "yes";
          drop.textContent = "Press again: it is then gone";
        }
      });
      if (others) actions.append(make("button.button.small", { type: "button", on: { click: () => app.takeOver(record) } }, "Send it as mine"));
      actions.append(drop);
    }
    return make("li.card", { id: `record-${record.number}` },
      make("p", {}, make("strong", {}, record.label || record.kind), " ", make("span.soft.small", {}, clock(record.made_at))),
      refused ? notice("danger", "Refused", record.reason) : null,
      others ? notice("", "Note", `${record.person_name} wrote this down: it waits until they log in on this phone.`) : null,
      actions.childElementCount ? actions : null);
  };

  const show = async (app) => {
    const queue = await YardStore.all("queue");
    const person = (await YardStore.get("person")) ?? null;
    const refused = queue.filter((record) => record.state === "refused");
    const waiting = queue.filter((record) => record.state !== "refused");
    const arrived = (await YardStore.all("arrived")).reverse().slice(0, ARRIVED_SHOWN);
    const list = (records) => make("ul.stack-of-cards", {}, ...records.map((record) => one(record, app, person)));
    const persisted = await navigator.storage?.persisted?.();
    return [
      head("Waiting", queue.length ? "On this phone alone, until it is sent." : "Nothing waits: everything has arrived."),
      refused.length ? make("section.section", {}, make("h2", {}, `Refused: ${refused.length}`), list(refused)) : null,
      waiting.length ? make("section.section", {}, make("h2", {}, `Waits for signal: ${waiting.length}`), list(waiting)) : null,
      queue.length && persisted === false ? notice("caution", "Mind", "The phone has not promised to keep this. Put the page on the home screen, and send soon.") : null,
      make("section.section", {}, make("h2", {}, "Arrived last"), arrived.length
        ? make("ul.phone-rows", {}, ...arrived.map((record) => make("li", {}, make("strong", {}, record.label || record.kind), " ", make("span.soft.small", {}, clock(record.made_at)), record.says ? make("p.small", {}, record.says) : null)))
        : make("p.soft", {}, "Nothing yet.")),
    ];
  };

  return { show };
})();
