// What was said and is not on the desk yet, kept in this browser: ids and numbers, and words where the client wrote some.
//
// An item: n (its turn), v (2: a set names its exercise), whose (the client's uid), key, sheet, kind, said (the fields of its form), at (when, by this
// phone's clock), state ('waiting', 'refused' or 'unknown'), tried (it may have reached the desk), words, asks.
(() => {
  "use strict";
  const base = new Promise((resolve, reject) => {
    // Reading the name alone throws where storage is blocked.
    const asked = window.indexedDB.open("phone", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore("queue", { keyPath: "n", autoIncrement: true });
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
    asked.onblocked = () => reject(new Error("blocked"));
  });

  const run = async (mode, act) => {
    const work = (await base).transaction("queue", mode, { durability: "strict" });
    const asked = act(work.objectStore("queue"));
    return new Promise((resolve, reject) => {
      work.oncomplete = () => resolve(asked.result);
      work.onabort = () => reject(work.error || new Error("aborted"));
    });
  };

  // Plain http away from localhost has no randomUUID.
  const newKey = () =>
    [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0")).join("");

  window.phoneStore = {
    ready: base.then(() => true, () => false),
    newKey,
    add: (item) => run("readwrite", (items) => items.add(item)),
    put: (item) => run("readwrite", (items) => items.put(item)),
    remove: (n) => run("readwrite", (items) => items.delete(n)),
    all: () => run("readonly", (items) => items.getAll()),
  };
})();
