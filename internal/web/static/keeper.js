// @ts-check
// Keeps the last rounds and job sheets that were opened on this device, with
// what they are drawn with, so that they open under a car where the server is
// not reached. Nothing else is kept, and nothing once somebody has to log in.

/** @type {ServiceWorkerGlobalScope} */
const worker = /** @type {any} */ (globalThis);
const sheets = "sheets", built = "built";
const most = 12; // sheets kept

worker.addEventListener("install", () => { worker.skipWaiting(); });
worker.addEventListener("activate", (event) => { event.waitUntil(worker.clients.claim()); });

worker.addEventListener("fetch", (event) => {
  const { request } = event, url = new URL(request.url);
  if (url.origin !== worker.location.origin) return;
  if (url.pathname === "/login") event.waitUntil(caches.delete(sheets));
  if (request.method !== "GET") return;
  if (url.pathname.startsWith("/assets/")) event.respondWith(asset(request));
  else if (request.mode === "navigate") event.respondWith(page(request, /^\/v\/[^/]+\/(round|job|job\/done)$/.test(url.pathname)));
});

/** A file of the program never changes under its address. @param {Request} request */
async function asset(request) {
  const cache = await caches.open(built);
  const kept = await cache.match(request);
  if (kept) return kept;
  const fresh = await fetch(request);
  if (fresh.ok) {
    for (const old of await cache.keys()) if (buildOf(old.url) !== buildOf(request.url)) await cache.delete(old);
    await cache.put(request, fresh.clone());
  }
  return fresh;
}

/** @param {string} url */
function buildOf(url) { return new URL(url).pathname.split("/")[2]; }

/** @param {Request} request @param {boolean} keep */
async function page(request, keep) {
  try {
    const fresh = await fetch(request);
    if (keep && fresh.ok && !fresh.redirected) await put(request, fresh.clone());
    return fresh;
  } catch {
    const cache = await caches.open(sheets);
    return (await cache.match(request)) ?? (await cache.match(request, { ignoreSearch: true })) ?? away(await cache.keys());
  }
}

/** @param {Request} request @param {Response} answer */
async function put(request, answer) {
  const cache = await caches.open(sheets);
  await cache.delete(request); // the newest stands last
  await cache.put(request, answer);
  const all = await cache.keys();
  for (const old of all.slice(0, Math.max(0, all.length - most))) await cache.delete(old);
}

/** Says that the server is not reached, and what can be opened all the same. @param {readonly Request[]} kept */
function away(kept) {
  const links = kept.map((k) => new URL(k.url)).map((u) => `<li><a href="${text(u.pathname + u.search)}">${text(u.pathname + u.search)}</a></li>`);
  const rest = links.length ? `<p>These are kept on this device:</p><ul>${links.join("")}</ul>` : "<p>Rounds and job sheets opened on this device are kept here; none was yet.</p>";
  const html = `<!doctype html><html lang="en-GB"><meta charset="utf-8"><meta name="viewport" content="width=device-width,initial-scale=1"><meta name="color-scheme" content="light dark">
<title>The server is not reached</title><main><h1>The server is not reached</h1>${rest}<p>What was written down here and not sent yet goes when there is a connection.</p></main></html>`;
  return new Response(html, { status: 503, headers: { "Content-Type": "text/html; charset=utf-8" } });
}

/** @param {string} s */
function text(s) {
  return s.replace(/[&<>"]/g, (c) => "&#" + c.charCodeAt(0) + ";");
}
