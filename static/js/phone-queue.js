// Sends what waits on this phone, in order: when a page opens, when there is a signal again, when the page is looked at,
// and by a timer that waits longer each time. An item leaves the queue only when the desk answered that it is kept.
//
// `phone-added` sets it going; `phone-answered` tells the page what became of items, `phone-link` why nothing is sent.
(() => {
  "use strict";
  const store = window.phoneStore;
  const { whose } = document.documentElement.dataset;
  const MOST = 20; // things in one request
  const FIRST_S = 2;
  const LONGEST_S = 120;
  const PATIENCE_MS = 20000;
  let delay = 0;
  let timer = 0;
  let running = false;
  let again = false;

  const tell = (name, detail) => document.dispatchEvent(new CustomEvent(name, { detail }));
  const others = "BroadcastChannel" in window ? new BroadcastChannel("phone") : null;
  if (others) others.onmessage = () => tell("phone-answered", { elsewhere: true });

  class Stop extends Error {}

  const post = async (items) => {
    const now = Date.now();
    const said = items.map(({ v, key, sheet, kind, said: fields, at }) => (
      { v, key, sheet, kind, ago_s: Math.round((now - at) / 1000), said: fields }));
    const patience = new AbortController();
    const end = setTimeout(() => patience.abort(), PATIENCE_MS);
    try {
      return await fetch("/my/queue/", {
        method: "POST", body: JSON.stringify({ v: 1, whose, items: said }), credentials: "same-origin",
        headers: { "Content-Type": "application/json", "X-Phone": "1" }, signal: patience.signal,
      });
    } finally {
      clearTimeout(end);
    }
  };

  const settle = async (item, { state, words, asks }) => {
    if (state === "saved" || state === "aside") await store.remove(item.n);
    else if (state === "refused" || state === "unknown") await store.put({ ...item, state, words, asks });
    else throw new Error("no answer");
  };

  const send = async (items) => {
    for (const item of items) if (!item.tried) await store.put(Object.assign(item, { tried: true }));
    const answer = await post(items);
    if (answer.status === 404 && answer.headers.has("X-Link")) throw new Stop("link");
    if (answer.status === 409) throw new Stop("other");
    // Anything but the desk's own JSON, such as the page of a gym's network, is no answer.
    const told = await answer.json();
    if (answer.status === 422 || answer.status === 413) {
      // One of them spoils the whole: each by itself, so that the others go on.
      if (items.length > 1) for (const item of items) await send([item]);
      else await settle(items[0], { state: "refused", words: String(told.words), asks: "" });
      return;
    }
    if (!answer.ok || told.v !== 1 || told.items.length !== items.length) throw new Error(String(answer.status));
    for (const [at, item] of items.entries()) await settle(item, told.items[at]);
    tell("phone-answered", { items, answers: told.items });
    if (others) others.postMessage("answered");
  };

  const waiting = async () =>
    (await store.all()).filter((item) => item.whose === whose && item.state === "waiting").slice(0, MOST);

  const sendAll = async () => {
    for (let items = await waiting(); items.length; items = await waiting()) await send(items);
    tell("phone-link", "");
  };

  const later = () => {
    delay = Math.min(LONGEST_S, delay * 2 || FIRST_S);
    clearTimeout(timer);
    timer = setTimeout(flush, delay * 1000);
  };

  async function flush() {
    if (running) {
      again = true;
      return;
    }
    running = true;
    clearTimeout(timer);
    try {
      if (!(await waiting()).length) return;
      if (!navigator.onLine && delay < LONGEST_S) throw new Error("no signal");
      // Two tabs at once would do no harm, because of the keys; where tabs can agree, one of them sends.
      if (!navigator.locks) await sendAll();
      else await navigator.locks.request("phone-queue", { ifAvailable: true }, (lock) => (lock ? sendAll() : later()));
      delay = 0;
    } catch (problem) {
      if (problem instanceof Stop) tell("phone-link", problem.message);
      else later();
    } finally {
      running = false;
      if (again) {
        again = false;
        setTimeout(flush, 0);
      }
    }
  }

  const atOnce = () => {
    delay = 0;
    flush();
  };

  store.ready.then((ready) => {
    if (!ready) return;
    document.addEventListener("phone-added", atOnce);
    window.addEventListener("online", atOnce);
    document.addEventListener("visibilitychange", () => document.hidden || atOnce());
    flush();
  });
})();
