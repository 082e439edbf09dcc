// Rows that stand in no list yet: a set more, a bout more, the two sides of a set by themselves. The page brings their
// fields along in <template>, so that no signal is needed; without this script, or a template, a link asks the desk.
(() => {
  "use strict";
  const SIDES = { l: ", left", r: ", right" };
  const rowAt = (slot) => document.getElementById(`s-${slot}`);

  const open = (item) => {
    const inside = item.querySelector("template:not([data-apart])");
    if (!inside) return;
    item.replaceChildren(inside.content.cloneNode(true), inside);
    item.classList.add("is-open");
  };

  const show = (at) => {
    if (!at) return;
    const smooth = !matchMedia("(prefers-reduced-motion: reduce)").matches;
    at.scrollIntoView({ block: "center", behavior: smooth ? "auto" : "instant" });
    const to = at.querySelector("button.primary") || at;
    if (to === at) at.tabIndex = -1;
    to.focus({ preventScroll: true });
  };

  // The sides take the place of the step that was planned for both together.
  const apart = (both) => {
    const own = both.querySelector("template:not([data-apart])");
    const sides = both.querySelector("template[data-apart]") || (own && own.content.querySelector("template[data-apart]"));
    if (sides) both.replaceWith(sides.content.cloneNode(true));
  };

  // A set or bout beyond the next has the same fields under another place.
  const further = (lift, slot) => {
    const inside = lift.querySelector("template[data-further]");
    if (!inside) return;
    const [, set, step, side] = slot.split("-");
    const made = document.createElement("template");
    made.innerHTML = inside.innerHTML.replaceAll(inside.dataset.further, slot);
    const row = made.content.querySelector("li");
    row.querySelector(".name").textContent = (step > 1 ? `Bout ${step}` : `Set ${set}`) + (SIDES[side] || "");
    const before = [...lift.querySelectorAll("li.set")].filter((item) => step > 1 && item.id.split("-")[2] === set).pop();
    if (before) before.after(row);
    else lift.querySelector("ol.sets").append(row);
  };

  const add = (slot) => {
    const [position, set, step, side] = slot.split("-");
    const lift = document.getElementById(`lift-${position}`);
    const both = side !== "b" && rowAt(`${position}-${set}-${step}-b`);
    if (both) apart(both);
    else if (lift && !rowAt(slot)) further(lift, slot);
    return rowAt(slot);
  };

  // The next place that is still free: the desk's link knows nothing of what waits on this phone.
  const free = (slot, at) => {
    const places = slot.split("-");
    while (rowAt(places.join("-")) && !rowAt(places.join("-")).querySelector("form.entry")) places[at] = Number(places[at]) + 1;
    return places.join("-");
  };

  document.addEventListener("click", (event) => {
    const link = event.target.closest('a[href^="?at="]');
    if (!link || event.defaultPrevented) return;
    const slot = new URLSearchParams(link.search).get("at");
    const item = link.closest("li.set");
    const own = item && item.id === `s-${slot}`;
    if (own) open(item);
    const row = own ? item.querySelector("form.entry") && item : add(item ? slot : free(slot, link.closest("li") ? 2 : 1));
    if (!row) return;
    event.preventDefault();
    document.dispatchEvent(new CustomEvent("phone-drawn", { detail: { own: true } }));
    show(row);
  });

  window.phoneRows = { add, open, show };
})();
