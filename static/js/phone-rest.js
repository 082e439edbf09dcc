// The rest after a set, counted against the time it ends and not second by second: a locked screen, another page or a
// closed tab lose nothing. The end is kept in this browser's storage; where that is blocked, as long as the page lives.
(() => {
  "use strict";
  const KEY = "rest-until";
  const LONGEST = 30 * 60 * 1000;
  const STALE = 60 * 1000;
  let memory = 0;
  let told = false;

  const kept = () => {
    try {
      return Number(localStorage.getItem(KEY)) || 0;
    } catch {
      return memory;
    }
  };

  const keep = (until) => {
    memory = until;
    told = false;
    try {
      if (until) localStorage.setItem(KEY, String(until));
      else localStorage.removeItem(KEY);
    } catch {
      // Storage is blocked: `memory` holds it.
    }
    draw();
  };

  const bar = document.createElement("div");
  bar.className = "rest-clock";
  bar.id = "rest-clock";
  bar.hidden = true;
  bar.setAttribute("role", "region");
  bar.setAttribute("aria-label", "Rest");
  const words = document.createElement("span");
  words.className = "numbers";
  words.setAttribute("role", "timer");
  const button = (id, text, act) => {
    const made = document.createElement("button");
    made.type = "button";
    made.id = id;
    made.textContent = text;
    made.addEventListener("click", act);
    return made;
  };
  bar.append(
    words,
    button("rest-longer", "30 s more", () => keep(Math.max(kept(), Date.now()) + 30000)),
    button("rest-end", "End", () => keep(0)),
  );
  document.body.append(bar);

  const clock = (seconds) => `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;

  function draw() {
    const until = kept();
    const left = until - Date.now();
    // Long over, or so far off that a clock was changed: no rest is running.
    bar.hidden = !until || left < -STALE || left > LONGEST;
    if (bar.hidden) return;
    if (left > 0) {
      words.textContent = `Rest ${clock(Math.ceil(left / 1000))}`;
      return;
    }
    words.textContent = "Rest is over";
    if (!told && navigator.vibrate) navigator.vibrate(200);
    told = true;
  }

  document.addEventListener("phone-kept", ({ detail }) => {
    const { form } = detail;
    const rest = Number(form.dataset.rest) || 0;
    if (form.querySelector("[name=over]") || form.dataset.rest === undefined) return;
    keep(rest ? Date.now() + rest * 1000 : 0);
  });
  document.addEventListener("visibilitychange", draw);
  window.addEventListener("storage", draw);
  setInterval(draw, 500);
  draw();
})();
