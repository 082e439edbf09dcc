// Forgets the client's link in this browser: the desk takes the cookie away, then the kept pages go, and what is not sent
// where the client said so. Without this script the form is a plain one; then nothing waits on the phone either.
(() => {
  "use strict";
  const store = window.phoneStore;
  const byId = (id) => document.getElementById(id);
  const { whose } = document.documentElement.dataset;
  let running = false;

  const mine = async () => ((await store.ready) ? (await store.all()).filter((item) => item.whose === whose) : []);

  const say = (words) => { byId("forget-words").textContent = words; };

  const clear = async (items) => {
    for (const { n } of items) await store.remove(n);
    if ("caches" in window) await caches.delete("phone-pages");
    for (const name of ["phone-whose", "rest-until"]) localStorage.removeItem(name);
  };

  const forget = async (form) => {
    const before = await mine();
    if (before.length && !byId("lose").checked) {
      byId("forget-lose").hidden = false;
      say(`Not sent yet: ${before.length}. Send or copy it at the top of this page first, or tick that it may be lost.`);
      byId("lose").focus();
      return;
    }
    const answer = await fetch(form.action, { method: "POST", body: new URLSearchParams(new FormData(form)), credentials: "same-origin" });
    if (!answer.ok || !answer.redirected) throw new Error(String(answer.status));
    await clear(before).catch(() => undefined);
    location.replace(answer.url);
  };

  document.addEventListener("submit", (event) => {
    if (event.target.id !== "forget-form") return;
    event.preventDefault();
    if (running) return;
    running = true;
    forget(event.target)
      .catch(() => say("Not forgotten: the desk did not answer. This needs a signal; try again."))
      .finally(() => { running = false; });
  });
})();
