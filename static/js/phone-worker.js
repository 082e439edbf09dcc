// The service worker of the client's pages: keeps what they are made of, and the pages that were opened, for a basement.
//
// The desk puts the list of files before it (PHONE_FILES, PHONE_VERSION). Kept: those files, '/my/', the sessions that
// were opened and the pages where something is chosen in them; nothing of a coach, no other page, no address with a token. Once the desk says that the link opens nothing,
// the pages go; what was said and is not sent yet lies elsewhere and stays.
(() => {
  "use strict";
  const FILES = `phone-files-${self.PHONE_VERSION}`;
  const PAGES = "phone-pages";
  const KEPT_AT = "X-Kept-At";
  const MOST_PAGES = 90;
  const PATIENCE_MS = 4000;
  const PAGE = /^\/my\/(sheets\/\d+\/((exercises\/\d+\/swap|shorter|place)\/)?)?$/;

  const isPage = (url) => url.origin === self.location.origin && PAGE.test(url.pathname);

  self.addEventListener("install", (event) => {
    self.skipWaiting();
    event.waitUntil(caches.open(FILES).then((cache) => cache.addAll(self.PHONE_FILES)));
  });

  self.addEventListener("activate", (event) => {
    event.waitUntil((async () => {
      for (const name of await caches.keys()) if (name.startsWith("phone-files-") && name !== FILES) await caches.delete(name);
      await self.clients.claim();
    })());
  });

  const keep = async (url, answer) => {
    const headers = new Headers(answer.headers);
    headers.set(KEPT_AT, String(Date.now()));
    const cache = await caches.open(PAGES);
    await cache.delete(url.pathname);
    await cache.put(url.pathname, new Response(await answer.blob(), { status: 200, headers }));
    for (const old of (await cache.keys()).slice(0, -MOST_PAGES)) await cache.delete(old);
  };

  const fresh = async (request, url) => {
    const answer = await fetch(request);
    if (answer.headers.has("X-Link")) await caches.delete(PAGES);
    // A page as it stands opened at a row is not the one to find again.
    if (answer.ok && !answer.redirected && !url.search && isPage(url)) await keep(url, answer.clone());
    return answer;
  };

  // The page's script reads from the root how old the copy is, and says so.
  const copyOf = async (url) => {
    const kept = isPage(url) ? await (await caches.open(PAGES)).match(url.pathname) : undefined;
    if (!kept) return undefined;
    const html = (await kept.text()).replace("<html ", `<html data-kept="${Number(kept.headers.get(KEPT_AT)) || 0}" `);
    return new Response(html, { headers: kept.headers });
  };

  const NONE = `<!doctype html><html lang="en"><meta charset="utf-8"><title>Training</title>
<meta name="viewport" content="width=device-width, initial-scale=1"><link rel="stylesheet" href="${self.PHONE_FILES.find((name) => name.includes(".css"))}">
<main><h1>No signal</h1><p>This page was not opened on this phone
before, so it needs a signal. What you have said is kept.</p><p><a class="go" href="/my/">All sessions</a></p></main></html>`;

  const page = async (request, url) => {
    const asked = fresh(request, url);
    asked.catch(() => undefined);
    const late = new Promise((resolve) => { setTimeout(resolve, PATIENCE_MS); });
    try {
      const answer = await Promise.race([asked, late]);
      if (answer) return answer;
      return (await copyOf(url)) || (await asked);
    } catch {
      return (await copyOf(url)) || new Response(NONE, { status: 503, headers: { "Content-Type": "text/html" } });
    }
  };

  const file = async (request) => (await (await caches.open(FILES)).match(request)) || fetch(request);

  self.addEventListener("fetch", (event) => {
    const { request } = event;
    const url = new URL(request.url);
    if (request.method !== "GET" || url.origin !== self.location.origin) return;
    if (request.mode === "navigate") event.respondWith(page(request, url));
    else if (isPage(url)) event.respondWith(fresh(request, url));
    else if (self.PHONE_FILES.includes(url.pathname + url.search)) event.respondWith(file(request));
  });
})();
