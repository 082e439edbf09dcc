// Moving a session in the calendar: drag it by its handle, or with the handle focused choose a day by the arrow keys
// and put it there with Enter. Without scripting the handle is a link to a form that does the same.
(() => {
  "use strict";
  const FAR = 6;
  let moving = null;

  const days = () => [...document.querySelectorAll("[data-calendar] td[data-on]")];
  const say = (words) => {
    const line = document.getElementById("calendar-say");
    if (line) line.textContent = words;
  };

  const mark = (day) => {
    for (const old of document.querySelectorAll(".drop-here")) old.classList.remove("drop-here");
    if (day) day.classList.add("drop-here");
    if (moving) moving.day = day;
  };

  const stop = () => {
    mark(null);
    if (moving) moving.handle.closest(".session").classList.remove("is-moving");
    moving = null;
  };

  const start = (handle) => {
    moving = { handle, from: handle.closest("td"), day: handle.closest("td"), dragged: false };
  };

  const put = () => {
    const { handle, day, from } = moving;
    stop();
    if (!day || day === from) return;
    const shown = new URL(handle.href).searchParams;
    say(`Moving ${handle.dataset.name} to ${day.dataset.words}.`);
    htmx.ajax("POST", handle.dataset.move, {
      source: handle,
      target: "#calendar",
      swap: "outerHTML",
      values: { on: day.dataset.on, version: handle.dataset.version, ...Object.fromEntries(shown) },
    });
  };

  document.addEventListener("pointerdown", (event) => {
    const handle = event.target.closest("[data-move]");
    if (!handle || event.button !== 0) return;
    start(handle);
    moving.at = [event.clientX, event.clientY];
    moving.pointer = event.pointerId;
    handle.focus();
  });

  document.addEventListener("pointermove", (event) => {
    if (!moving || moving.pointer !== event.pointerId) return;
    if (!moving.dragged && Math.hypot(event.clientX - moving.at[0], event.clientY - moving.at[1]) < FAR) return;
    if (!moving.dragged) {
      moving.dragged = true;
      moving.handle.setPointerCapture(event.pointerId);
      moving.handle.closest(".session").classList.add("is-moving");
    }
    event.preventDefault();
    const under = document.elementFromPoint(event.clientX, event.clientY);
    mark(under && under.closest("[data-calendar] td[data-on]"));
  });

  document.addEventListener("pointerup", (event) => {
    if (!moving || moving.pointer !== event.pointerId) return;
    if (moving.dragged) {
      moving.handle.dataset.dragged = "yes";
      put();
    } else stop();
  });
  document.addEventListener("pointercancel", stop);

  // The click that ends a drag is no click on the link.
  document.addEventListener(
    "click",
    (event) => {
      const handle = event.target.closest("[data-move]");
      if (!handle || !handle.dataset.dragged) return;
      delete handle.dataset.dragged;
      event.preventDefault();
    },
    true,
  );

  const STEPS = { ArrowLeft: -1, ArrowRight: 1, ArrowUp: -7, ArrowDown: 7 };

  document.addEventListener("keydown", (event) => {
    const handle = event.target.closest && event.target.closest("[data-move]");
    if (!handle || event.altKey || event.ctrlKey || event.metaKey) return;
    if (event.key in STEPS) {
      event.preventDefault();
      if (!moving || moving.handle !== handle) {
        stop();
        start(handle);
      }
      const all = days();
      const next = all[all.indexOf(moving.day) + STEPS[event.key]];
      if (next) {
        mark(next);
        next.scrollIntoView({ block: "nearest", inline: "nearest" });
        say(`${next.dataset.words}. Enter puts ${handle.dataset.name} here, Escape leaves it.`);
      }
    } else if (event.key === "Escape" && moving) {
      event.preventDefault();
      stop();
      say("Not moved.");
    } else if (event.key === "Enter" && moving && moving.handle === handle && moving.day !== moving.from) {
      event.preventDefault();
      put();
    }
  });

  document.addEventListener("focusout", (event) => {
    if (moving && !moving.dragged && moving.pointer === undefined && event.target === moving.handle) stop();
  });
})();
