// Says beside the title whether the last change is saved; sends a change again when the connection was lost.
//
// #save-status (role=status) holds the words and data-state: saving, saved, failed, lost.
// #desk-message (role=alert) says why a request was refused; the form stays as it is.
// Sent again until they arrive: requests from inside [data-cells] or [data-retry], because those may arrive twice.
// A form that writes nothing carries data-quiet.
(() => {
  "use strict";
  const lost = new Map(); // id of the element, or the element -> its request
  const LONGEST_WAIT = 30; // seconds between two tries
  let running = 0;
  let wait = 2;
  let timer = 0;
  let slow = 0;

  const say = (state, words) => {
    const place = document.getElementById("save-status");
    if (!place) return;
    place.dataset.state = state;
    if (place.textContent !== words) place.textContent = words;
    // Where the title scrolls out of sight, the same words stay in sight; they are spoken once.
    const echo = document.getElementById("save-echo");
    if (echo) Object.assign(echo, { textContent: words }).dataset.state = state;
  };

  const explain = (words) => {
    const place = document.getElementById("desk-message");
    if (place) place.textContent = words;
  };

  // Not detail.elt: htmx sets that to the place where the event is told, which may be the row's parent by then.
  const sender = (detail) => detail.requestConfig.elt;

  const writes = (detail) =>
    detail.requestConfig && detail.requestConfig.verb !== "get" && !sender(detail).closest("[data-quiet]");

  const repeatable = (elt) => Boolean(elt.closest("[data-cells], [data-retry]"));

  const key = (elt) => elt.id || elt;

  const REASONS = {
    403: "Not allowed: your part in this practice does not let you change this. Nothing was changed.",
    404: "Not found: it was removed meanwhile, or it belongs to another practice. Load the page again.",
    413: "Too large to send. Nothing was changed.",
    429: "Too many tries in a short time. Wait a minute and try again; what you typed is still here.",
    503: "The desk is busy with another change. What you typed is still here; try again in a moment.",
  };

  const refused = (status) => {
    explain(REASONS[status] || `The desk failed on this (error ${status}). Nothing was changed; what you typed is still here.`);
  };

  const finished = (status) => {
    if (status === 409) say("failed", "Not saved: changed by somebody else meanwhile, see the marked row");
    else if (status === 422) say("failed", "Not saved: see the marked field");
    else if (status === 401) say("failed", "Not saved: you are signed out");
    else if (status >= 400) say("failed", "Not saved");
    else if (lost.size === 0 && running === 0 && !document.documentElement.dataset.waiting) say("saved", `Saved ${new Date().toTimeString().slice(0, 5)}`);
  };

  const again = () => {
    clearTimeout(timer);
    timer = 0;
    for (const [name, request] of [...lost]) {
      const elt = typeof name === "string" ? document.getElementById(name) : name;
      if (!elt || !elt.isConnected) {
        lost.delete(name);
        say("failed", "Not saved: the row went away before it could be sent");
      } else {
        window.htmx.ajax(request.verb, request.path, { source: elt }).catch(() => {});
      }
    }
  };

  const connectionLost = (detail) => {
    if (!repeatable(sender(detail))) {
      say("failed", "Not saved: connection lost");
      explain("The connection to the desk was lost, so nothing was changed. What you typed is still here; try again.");
      return;
    }
    lost.set(key(sender(detail)), { verb: detail.requestConfig.verb, path: detail.requestConfig.path });
    say("lost", "Connection lost: kept here, trying again");
    if (!timer) {
      timer = setTimeout(again, wait * 1000);
      wait = Math.min(wait * 2, LONGEST_WAIT);
    }
  };

  document.addEventListener("htmx:beforeRequest", ({ detail }) => {
    if (!writes(detail)) return;
    running += 1;
    clearTimeout(slow);
    if (lost.size === 0) slow = setTimeout(() => running && say("saving", "Saving"), 100);
  });

  document.addEventListener("htmx:afterRequest", ({ detail }) => {
    const status = detail.xhr ? detail.xhr.status : 0;
    if (status >= 200 && status < 400) explain("");
    if (!writes(detail)) return;
    running = Math.max(0, running - 1);
    if (status === 0) return connectionLost(detail);
    lost.delete(key(sender(detail)));
    wait = 2;
    finished(status);
  });

  document.addEventListener("htmx:responseError", ({ detail }) => refused(detail.xhr.status));
  document.addEventListener("htmx:sendError", ({ detail }) => {
    if (!writes(detail)) explain("The connection to the desk was lost; the page may be out of date.");
  });
  window.addEventListener("online", again);
})();
