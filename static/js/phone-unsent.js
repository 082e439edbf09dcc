// Says how much is on this phone and not on the desk yet, what the desk did not take and why, and copies all as text.
(() => {
  "use strict";
  const store = window.phoneStore;
  const byId = (id) => document.getElementById(id);
  const LINK = {
    link: "This link no longer works: ask your coach for a new one. What is on this phone stays here; copy it to be safe.",
    other: "Another link was opened in this browser; open the one before again to send what was said under it.",
    "": "",
  };
  const KINDS = {
    set: "Set", clear: "Set not done", skip: "Left out", swap: "Swapped", pain: "Pain", rating: "Rating",
    message: "Message", short: "Shorter session",
  };
  let items = [];
  let link = "";

  const things = (count) => `${count} ${count === 1 ? "thing" : "things"}`;

  const nameAt = (slot) => {
    const row = slot && byId(`s-${slot}`);
    return row ? row.closest("section").querySelector("h2").textContent : "";
  };

  const hidden = (kind, name) => ["over", "sure"].includes(name) || (kind === "set" && name === "exercise");

  // Ids mean little to people, so the page's own words stand beside them where it shows that session.
  const line = ({ at, sheet, kind, said }) => {
    const { slot, ...others } = said;
    const rest = Object.entries(others).filter(([name, value]) => value !== "" && !hidden(kind, name));
    const when = new Date(at).toLocaleString("en-GB", { dateStyle: "medium", timeStyle: "short" });
    const where = [nameAt(slot), slot && `set ${slot}`, sheet && `session ${sheet}`].filter(Boolean).join(", ");
    return `${when}: ${KINDS[kind] || kind} (${where}): ${rest.map(([name, value]) => `${name} ${value}`).join(", ")}`;
  };

  const words = () => {
    const waiting = items.filter(({ state }) => state === "waiting").length;
    const left = items.length - waiting;
    return [
      waiting ? `On this phone, not sent yet: ${things(waiting)}.` : "",
      left ? `Not taken by the desk: ${things(left)}; see below.` : "",
      items.length || link === "link" ? LINK[link] : "",
    ].filter(Boolean).join(" ");
  };

  const refusal = (item) => {
    const made = document.createElement("li");
    made.textContent = `${line(item)}. ${item.words} `;
    const button = document.createElement("button");
    button.type = "button";
    button.id = `unsent-${item.n}`;
    button.textContent = "Remove";
    button.addEventListener("click", async () => {
      await store.remove(item.n);
      document.dispatchEvent(new CustomEvent("phone-answered", { detail: {} }));
    });
    made.append(button);
    return made;
  };

  const draw = () => {
    const now = words();
    if (byId("unsent-words").textContent !== now) byId("unsent-words").textContent = now;
    byId("unsent-more").hidden = !items.length;
    byId("unsent-list").replaceChildren(...items.filter(({ state }) => state !== "waiting").map(refusal));
    byId("unsent-text").textContent = items.map(line).join("\n");
  };

  const count = async () => {
    const { whose } = document.documentElement.dataset;
    // The page of a link that opens nothing is nobody's: there all that is left is shown, to be copied.
    items = (await store.all()).filter((item) => !whose || item.whose === whose);
    draw();
  };

  document.addEventListener("phone-link", ({ detail }) => {
    link = detail;
    count();
  });
  for (const name of ["phone-counted", "phone-answered", "phone-added"]) document.addEventListener(name, count);
  store.ready.then((ready) => ready && count());
})();
