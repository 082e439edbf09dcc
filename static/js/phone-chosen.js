// Shows on the session's page what was chosen for today and is not on the desk yet: another exercise, fewer minutes.
//
// How the page looks then was worked out by the desk and stands in the kept pages where it was chosen (`data-instead`,
// `data-minutes`). Each choice can be undone: when it is refused, and before the desk's own drawing takes its place.
(() => {
  "use strict";
  const PAGES = "phone-pages";
  const here = location.pathname;
  const shown = new Map(); // what was chosen about -> { as, undo, safe (the desk has it and has not drawn it yet) }

  const template = async (address, name, value) => {
    if (!("caches" in window)) return null;
    const page = await (await caches.open(PAGES)).match(here + address);
    const made = page && new DOMParser().parseFromString(await page.text(), "text/html");
    const found = made && [...made.querySelectorAll("template")].find((one) => one.dataset[name] === value);
    return found ? document.importNode(found.content, true) : null;
  };

  const note = (words) => Object.assign(document.createElement("p"), { className: "state", textContent: words });

  const put = (made, at, undo) => {
    at.after(made);
    undo.push(() => made.remove());
  };

  const swap = async ({ position, exercise = "" }, undo) => {
    const at = document.getElementById(`lift-${position}`);
    const words = note(exercise ? "Swapped; on this phone." : "Back as planned; on this phone.");
    const found = at && (await template(`exercises/${position}/swap/`, "instead", exercise));
    if (!found) {
      if (at) put(words, at.querySelector("h2"), undo);
      return;
    }
    const section = found.querySelector("section");
    // What is done stays as it was done.
    for (const row of section.querySelectorAll("li.set")) {
      const old = document.getElementById(row.id);
      if (old && old.classList.contains("is-saved")) row.replaceWith(old.cloneNode(true));
    }
    section.dataset.instead = exercise;
    section.querySelector("h2").after(words);
    at.replaceWith(section);
    undo.push(() => section.replaceWith(at));
  };

  const leave = (row, undo) => {
    if (!row || row.classList.contains("is-saved") || row.querySelector(".state")) return;
    const [nodes, name] = [[...row.childNodes], row.className];
    const part = (kind, words) => Object.assign(document.createElement("span"), { className: kind, textContent: words });
    const text = (kind) => (row.querySelector(kind) ? row.querySelector(kind).textContent : "");
    const own = row.querySelector("template:not([data-apart])");
    const inside = document.createElement("template");
    inside.innerHTML = own ? own.innerHTML : row.innerHTML;
    const link = Object.assign(document.createElement("a"), { className: "go", href: `?at=${row.id.slice(2)}`, textContent: "Log" });
    link.id = `${row.id}-log`;
    row.replaceChildren(
      part("name", text(".name")), " ", part("numbers", text(".numbers")), " ", part("state", "left out: no time"), link, inside);
    row.classList.remove("is-open");
    undo.push(() => {
      row.replaceChildren(...nodes);
      row.className = name;
    });
  };

  const rest = (row, after, undo) => {
    const own = row.querySelector("template:not([data-apart])");
    for (const inside of [row, own && own.content]) {
      const form = inside && inside.querySelector("form.entry");
      const words = inside && inside.querySelector(".after");
      if (!form || !words) continue;
      const [seconds, before] = [form.dataset.rest, words.textContent];
      form.dataset.rest = after.dataset.rest;
      words.textContent = after.textContent.trim();
      undo.push(() => {
        form.dataset.rest = seconds;
        words.textContent = before;
      });
    }
  };

  const inTurn = (lift, like, undo) => {
    const before = lift.dataset.turn || "";
    lift.dataset.turn = like.dataset.turn;
    undo.push(() => { lift.dataset.turn = before; });
    const words = like.querySelector(".care");
    if (words.textContent && !lift.textContent.includes(words.textContent)) put(words, lift.querySelector("h2"), undo);
  };

  const shorten = async ({ minutes, left_out: places = [] }, undo) => {
    const whole = minutes === "0";
    put(note(whole ? "The whole session again; on this phone." : `Shortened to ${minutes} min; on this phone.`),
      document.getElementById("time") || document.getElementById("top"), undo);
    if (whole) return;
    const found = await template("shorter/", "minutes", minutes);
    for (const like of found ? found.querySelectorAll("[data-lift]") : []) {
      const lift = document.getElementById(like.dataset.lift);
      if (!lift) continue;
      inTurn(lift, like, undo);
      for (const after of like.querySelectorAll("[data-rest]")) {
        const row = lift.querySelector(`[id="${after.id}"]`);
        if (row) rest(row, after, undo);
      }
    }
    for (const slot of places) leave(document.getElementById(`s-${slot}`), undo);
  };

  const takeBack = (name) => {
    for (const back of shown.get(name).undo.reverse()) back();
    shown.delete(name);
  };

  const about = ({ kind, said }) => (kind === "swap" ? `swap ${said.position}` : kind);

  const apply = async (items) => {
    const wanted = new Map();
    for (const item of items)
      if (["swap", "short"].includes(item.kind) && item.state !== "refused") wanted.set(about(item), item);
    for (const [name, { safe }] of [...shown]) if (!wanted.has(name) && !safe) takeBack(name);
    for (const [name, { kind, said }] of wanted) {
      const as = JSON.stringify(said);
      if (shown.has(name) && shown.get(name).as === as) continue;
      if (shown.has(name)) takeBack(name);
      const undo = [];
      shown.set(name, { as, undo, safe: false });
      await (kind === "swap" ? swap : shorten)(said, undo);
    }
  };

  // Before phone-said.js draws anew: what the desk has drawn is not to be undone later.
  document.addEventListener("phone-drawn", ({ detail }) => {
    if (!(detail && detail.own)) for (const name of [...shown.keys()]) takeBack(name);
  });
  document.addEventListener("phone-answered", ({ detail }) => {
    for (const [at, item] of (detail.items || []).entries())
      if (shown.has(about(item)) && detail.answers[at].state === "saved") shown.get(about(item)).safe = true;
  });

  window.phoneChosen = apply;
})();
