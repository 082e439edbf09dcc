// Has the service worker keep these pages for where there is no signal, and says how old a kept page is.
//
// Over plain http away from localhost browsers offer no service worker: then a page must stay open to be used without a
// signal, and that is said.
(() => {
  "use strict";
  const { kept, whose } = document.documentElement.dataset;
  const copy = document.getElementById("copy");
  const OWNER = "phone-whose";
  const PAGES = "phone-pages";
  const AHEAD_MS = 4000; // by then the page can be used
  const OLD_MS = 600000;

  if (kept) {
    const minutes = Math.max(0, Math.round((Date.now() - Number(kept)) / 60000));
    const age = minutes < 120 ? `${minutes} min` : minutes < 2880 ? `${Math.round(minutes / 60)} hours` : `${Math.round(minutes / 1440)} days`;
    copy.textContent = `No signal: this page was kept ${age} ago. What you say is kept on this phone.`;
  }

  // Drawn anew by the desk it is no copy any more.
  document.addEventListener("phone-drawn", ({ detail }) => {
    if (kept && !(detail && detail.own)) copy.textContent = "";
  });

  // Another client's link was opened in this browser: their pages are not to be found here.
  const ownPagesOnly = async () => {
    const before = localStorage.getItem(OWNER);
    if (before && before !== whose) await caches.delete(PAGES);
    localStorage.setItem(OWNER, whose);
  };

  const start = async () => {
    await ownPagesOnly();
    await navigator.serviceWorker.register("/my/sw.js", { scope: "/my/" });
    if (!navigator.serviceWorker.controller)
      await new Promise((resolve) => { navigator.serviceWorker.addEventListener("controllerchange", resolve, { once: true }); });
    // The very first page came before there was anybody to keep it.
    if (!kept && !(await (await caches.open(PAGES)).match(location.pathname)))
      await fetch(location.pathname, { headers: { "X-Phone": "1" }, credentials: "same-origin" });
  };

  // The pages where something is chosen in this session: kept before they are needed, quietly and one by one.
  const ahead = async () => {
    if (kept || !navigator.onLine || (navigator.connection && navigator.connection.saveData)) return;
    const cache = await caches.open(PAGES);
    for (const path of new Set([...document.querySelectorAll("a[data-ahead]")].map((link) => link.pathname))) {
      const there = await cache.match(path);
      if (there && Date.now() - Number(there.headers.get("X-Kept-At")) < OLD_MS) continue;
      await fetch(path, { headers: { "X-Phone": "1" }, credentials: "same-origin", priority: "low" });
    }
  };

  document.addEventListener("phone-link", ({ detail }) => detail === "link" && "caches" in window && caches.delete(PAGES));

  if (!("serviceWorker" in navigator)) {
    if (!window.isSecureContext) copy.textContent = "Keep this page open where there is no signal: without https it cannot be opened again there.";
    return;
  }
  window.addEventListener("load", () => start()
    .then(() => setTimeout(() => ahead().catch(() => undefined), AHEAD_MS)).catch(() => undefined));
})();
