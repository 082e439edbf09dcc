// Takes over the forms of a session: what is said goes into this phone's queue first, so that no lost signal loses it,
// and its row says 'on this phone' until the desk has answered. Where nothing can be kept the plain forms stay.
//
// `phone-kept` is told once something said is safe, here or on the desk.
(() => {
  "use strict";
  const store = window.phoneStore;
  const { add, open, show } = window.phoneRows;
  const { whose } = document.documentElement.dataset;
  const LISTS = ["left_out", "pairs", "drops"];
  const sheetOf = (address) => Number((/\/sheets\/(\d+)\//.exec(address) || [])[1]) || null;
  const here = sheetOf(location.pathname);
  const row = (slot) => document.getElementById(`s-${slot}`);
  const kept = new Map(); // id -> a row that was marked, and what stood in it before
  let ready = false;
  let adding = false;

  const say = (words) => {
    const at = document.getElementById("unsent-words");
    if (at.textContent !== words) at.textContent = words;
  };

  const saidIn = (form, button) => {
    const found = {};
    for (const [name, value] of new FormData(form, button)) {
      if (["csrfmiddlewaretoken", "key", "kind"].includes(name)) continue;
      if (LISTS.includes(name)) (found[name] = found[name] || []).push(value);
      else found[name] = value;
    }
    return found;
  };

  const like = (one, other) => one.sheet === other.sheet && one.kind === other.kind
    && (one.said.slot || one.said.position || one.said.place) === (other.said.slot || other.said.position || other.said.place);

  const take = async (form, button) => {
    const kind = form.elements.kind.value;
    const item = {
      v: 2, whose, key: store.newKey(), sheet: sheetOf(form.action), kind, said: saidIn(form, button), at: Date.now(),
      state: "waiting", tried: false, words: "", asks: "",
    };
    const mine = (await store.all()).filter((one) => one.whose === whose && like(one, item));
    // The same tapped twice is one thing.
    const twice = mine.some((one) => one.state === "waiting" && JSON.stringify(one.said) === JSON.stringify(item.said));
    if (!twice) await store.add(item);
    for (const one of mine) if (one.state === "refused") await store.remove(one.n);
    const text = form.querySelector("textarea");
    if (text) text.value = "";
    document.dispatchEvent(new CustomEvent("phone-kept", { detail: { form } }));
    await draw();
    if (kind === "set") show(next(item.said.slot));
    document.dispatchEvent(new CustomEvent("phone-added"));
    if (form.dataset.choice) await leave(form.dataset.choice);
  };

  // Chosen on a page of its own: with a signal the desk has a moment to answer first, so that the session is drawn anew.
  const leave = async (address) => {
    const answer = new Promise((resolve) => { document.addEventListener("phone-answered", resolve, { once: true }); });
    if (navigator.onLine) await Promise.race([answer, new Promise((resolve) => { setTimeout(resolve, 2000); })]);
    location.assign(address);
  };

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!ready || !form.matches("form[data-entry], form[data-choice]")) return;
    event.preventDefault();
    event.stopPropagation();
    if (adding) return;
    adding = true;
    take(form, event.submitter).catch(() => {
      ready = false;
      say("This phone can keep nothing more: without a signal nothing is saved.");
      form.requestSubmit(event.submitter);
    }).finally(() => { adding = false; });
  }, true);

  // Rows

  const isKept = (item) => kept.has(item.id) && kept.get(item.id).item === item;
  const isDone = (item) => item.classList.contains("is-saved") || isKept(item);
  const isOpen = (item) => !isDone(item) && item.querySelector("form.entry");
  const isLeft = (item) => !isDone(item) && (isOpen(item) || (item.querySelector("template") && !item.querySelector(".state")));
  const rowsOf = (lift) => [...lift.querySelectorAll("li.set")];

  const openNext = () => {
    for (const lift of document.querySelectorAll("section.lift:not(:has(.left-out))")) {
      const rows = rowsOf(lift);
      if (rows.some(isOpen)) continue;
      const first = (rows.some(isKept) || lift.dataset.instead !== undefined) && rows.find(isLeft);
      if (first) open(first);
      if (first) likeBefore(first, rows);
    }
  };

  // Where no load was planned, that of the set before is offered, as the desk would; never that of another exercise.
  const likeBefore = (item, rows) => {
    const load = item.querySelector("form.entry input[name=load]");
    const { exercise } = item.querySelector("form.entry").elements;
    const same = rows.filter(isKept).map(({ id }) => kept.get(id).said).filter((said) => said.load && said.exercise === exercise.value);
    if (load && !load.value && same.length) load.value = same.pop().load;
  };

  // What comes after a set: the exercises done in turn with it, a set of each; then the next exercise.
  const next = (slot) => {
    const lifts = [...document.querySelectorAll("section.lift")];
    const at = lifts.findIndex((lift) => lift.contains(row(slot)));
    const { turn } = lifts[at] ? lifts[at].dataset : {};
    const places = (item) => item.id.slice(2).split("-").map(Number);
    const mine = lifts.filter((lift, n) => n === at || (turn && lift.dataset.turn === turn)).flatMap(rowsOf).filter(isOpen);
    mine.sort((a, b) => places(a)[1] - places(b)[1] || places(a)[0] - places(b)[0]);
    return mine[0] || [...lifts.slice(at + 1), ...lifts].flatMap(rowsOf).find(isOpen) || document.getElementById("end");
  };

  const part = (tag, name, words) => {
    const made = document.createElement(tag);
    made.className = name;
    made.textContent = words;
    return made;
  };

  const numbers = ({ load, reps, rir }, unit) =>
    [load && `${load} ${unit}`.trim(), reps].filter(Boolean).join(" x ") + (rir ? `, RIR ${rir}` : "");

  const unitOf = (item) => {
    const found = item.querySelector("template") ? item.querySelector("template").content : item;
    const label = [...found.querySelectorAll("label")].find((one) => one.htmlFor.endsWith("-load"));
    return label ? label.textContent.replace("Added ", "").replace("Setting", "") : "";
  };

  const mark = (item, one) => {
    if (isKept(item)) return;
    kept.set(item.id, { item, nodes: [...item.childNodes], name: item.className, said: one.said });
    const name = item.querySelector(".name") ? item.querySelector(".name").textContent : "";
    const form = item.querySelector("form.entry") || (item.querySelector("template") || { content: item }).content.querySelector("form.entry");
    const other = form && one.said.exercise && form.elements.exercise.value !== one.said.exercise;
    const words = one.kind === "clear" ? "not done" : numbers(one.said, unitOf(item)) + (other ? ", before the swap" : "");
    item.replaceChildren(part("span", "name", name), " ", part("span", "numbers", words), " ", part("span", "state", "on this phone"));
    item.classList.remove("is-open");
    if (one.tried) return;
    const back = part("button", "back", "Take back");
    back.type = "button";
    back.id = `${item.id}-back`;
    back.addEventListener("click", () => takeBack(item, one.n));
    item.append(" ", back);
  };

  // Only what was never sent: the desk may have the rest, and a change of it is said once it is saved.
  const takeBack = async (item, n) => {
    const one = (await store.all()).find((other) => other.n === n);
    if (!one || one.tried) return;
    await store.remove(n);
    await draw();
    if (!item.querySelector("form.entry")) {
      open(item);
      fill(item, one.said);
    }
    document.dispatchEvent(new CustomEvent("phone-drawn", { detail: { own: true } }));
    show(item);
  };

  const fill = (item, said) => {
    for (const input of item.querySelectorAll("form.entry input:not([type=hidden]), form.entry select"))
      if (said[input.name] !== undefined) input.value = said[input.name];
  };

  const refuse = (item, one) => {
    const id = `${item.id}-error`;
    if (document.getElementById(id)) return;
    if (!item.querySelector("form.entry")) open(item);
    const form = item.querySelector("form.entry");
    if (!form) return;
    const error = part("p", "error", one.words);
    error.id = id;
    error.setAttribute("role", "alert");
    form.prepend(error);
    if (one.asks) form.append(Object.assign(document.createElement("input"), { type: "hidden", name: "sure", value: one.asks }));
    fill(item, one.said);
  };

  const unmark = (id) => {
    const { item, nodes, name } = kept.get(id);
    kept.delete(id);
    item.className = name;
    item.replaceChildren(...nodes);
  };

  // One after the other: what was read before something was added must not be drawn after it.
  let drawing = Promise.resolve();
  const draw = () => (drawing = drawing.then(drawNow, drawNow));

  async function drawNow() {
    const items = (await store.all()).filter((item) => item.whose === whose);
    const own = items.filter(({ sheet }) => sheet === here);
    if (document.getElementById("end")) await window.phoneChosen(own);
    const mine = own.filter(({ said }) => said.slot && (row(said.slot) || add(said.slot)));
    const waits = mine.filter(({ state }) => state !== "refused");
    for (const id of [...kept.keys()]) if (!waits.some(({ said }) => `s-${said.slot}` === id)) unmark(id);
    for (const one of waits) mark(row(one.said.slot), one);
    for (const one of mine) if (one.state === "refused") refuse(row(one.said.slot), one);
    openNext();
    document.dispatchEvent(new CustomEvent("phone-drawn", { detail: { own: true } }));
    document.dispatchEvent(new CustomEvent("phone-counted", { detail: { items } }));
  }

  document.addEventListener("phone-drawn", ({ detail }) => {
    if ((detail && detail.own) || !ready) return;
    for (const [id, { item }] of [...kept]) if (!item.isConnected) kept.delete(id);
    draw();
  });
  // The row says so at once; the page drawn anew by the desk takes its place.
  const tell = (one, { state }) => {
    const item = one.said.slot && one.sheet === here && row(one.said.slot);
    if (!item || !isKept(item) || (state !== "saved" && state !== "aside")) return;
    item.querySelector(".state").textContent = state === "aside" ? "kept aside" : "saved";
    const back = item.querySelector(".back");
    if (back) back.remove();
    item.classList.add("is-saved");
    kept.delete(item.id);
  };

  document.addEventListener("phone-answered", ({ detail }) => {
    for (const [at, one] of (detail.items || []).entries()) tell(one, detail.answers[at]);
    draw();
  });

  store.ready.then((found) => {
    ready = found;
    if (ready) draw();
    else if (document.querySelector("form[data-entry]"))
      say("This browser keeps nothing on the phone: without a signal nothing is saved.");
  });
})();
