// Sends one request after the other, so that each is answered into the page that the one before has left.
//
// An answer replaces the rows that later changes were made in. Two under way at once would reach the desk in any
// order, and the second answer would look for its place in a part of the page that is gone. What waits here is sent
// from the same element, or from the one with its id when that was replaced meanwhile. keep-typing.js carries the
// values of a replaced row over and reports them, except in the cell being typed in. data-waiting on <html>: how many.
// What only reads into a place of its own (data-beside) neither waits nor is waited for.
(() => {
  "use strict";
  const waiting = []; // { detail of htmx:confirm, button }
  let running = 0;
  let releasing = false;

  const note = () => {
    if (waiting.length) document.documentElement.dataset.waiting = waiting.length;
    else delete document.documentElement.dataset.waiting;
  };

  const present = (elt) => (elt.isConnected ? elt : document.getElementById(elt.id));

  const unsent = (form) => [...form.elements].some((control) => control.dataset.unsent !== undefined);

  const send = ({ detail, button }) => {
    const elt = present(button || detail.elt);
    if (!elt) return undefined;
    if (button) return elt.click();
    if (elt === detail.elt) return detail.issueRequest(true);
    const { values, swapOverride: swap } = detail.etc;
    if (values) return window.htmx.ajax(detail.verb, detail.path, { source: elt, target: elt, swap, values });
    if (elt.matches("form")) return unsent(elt) ? elt.requestSubmit() : undefined;
    return elt.click();
  };

  const release = () => {
    while (running === 0 && waiting.length) {
      releasing = true;
      Promise.resolve(send(waiting.shift())).catch(() => {});
      releasing = false;
    }
    note();
  };

  const beside = (elt) => Boolean(elt && elt.closest("[data-beside]"));

  const known = (detail, button) =>
    !detail.etc.values && waiting.some((one) => one.detail.elt === detail.elt && one.button === button && one.detail.path === detail.path);

  document.addEventListener("htmx:confirm", (event) => {
    const { detail } = event;
    if (beside(detail.elt) || releasing || (running === 0 && waiting.length === 0)) return;
    event.preventDefault();
    const button = (detail.triggeringEvent && detail.triggeringEvent.submitter) || null;
    if (button || !known(detail, button)) waiting.push({ detail, button });
    note();
  });

  document.addEventListener("htmx:beforeSend", ({ detail }) => { if (!beside(detail.requestConfig.elt)) running += 1; });
  document.addEventListener("htmx:afterRequest", ({ detail }) => {
    if (beside(detail.requestConfig && detail.requestConfig.elt)) return;
    running = Math.max(0, running - 1);
    setTimeout(release);
  });
})();
