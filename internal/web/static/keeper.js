// @ts-check
// Keeps on this device what was opened, and all of the vehicles opened last with what their pages are drawn
// with, so that they open under a car where the server is not reached. Nothing is kept once somebody has to
// log in or has locked it.

/** @type {ServiceWorkerGlobalScope} */
const worker = /** @type {any} */ (globalThis);
const opened = "sheets", built = "built", of = "of "; // caches: as opened, files of the program, a vehicle each
const most = { opened: 24, vehicles: 6 };
const room = 50e6; // bytes that are left to what is written down
let turn = 0; // of whoever is let in

worker.addEventListener("install", () => { worker.skipWaiting(); });
worker.addEventListener("activate", (event) => { event.waitUntil(worker.clients.claim()); });

worker.addEventListener("fetch", (event) => {
  const { request } = event, url = new URL(request.url);
  if (url.origin !== worker.location.origin) return;
  if (["/login", "/logout"].includes(url.pathname)) event.waitUntil(forget());
  else if (url.pathname.startsWith("/assets/")) event.respondWith(asset(request));
  else event.respondWith(request.mode === "navigate" ? page(event) : other(request));
});

/** @type {Promise<void>} */
let keeping = Promise.resolve();
worker.addEventListener("message", (event) => { event.waitUntil(keeping = keeping.then(() => keepVehicle(String(event.data))).catch(() => {})); });

async function forget() {
  turn++;
  for (const name of await caches.keys()) if (name !== built) await caches.delete(name);
}

/** A file of the program never changes under its address. @param {Request | string} request */
async function asset(request) {
  const cache = await caches.open(built), kept = await cache.match(request);
  if (kept) return kept;
  try {
    const fresh = await fetch(request), copy = fresh.clone();
    if (fresh.headers.get("Cache-Control")?.includes("immutable")) await cache.put(request, copy).catch(() => {}); // full: not kept
    // What is kept of the program before this one has its own files for a while.
    const all = await cache.keys(), builds = [...new Set(all.map((r) => part(r.url, 2)))].slice(-2);
    for (const old of all) if (!builds.includes(part(old.url, 2))) await cache.delete(old);
    return fresh;
  } catch (away) {
    const name = part(typeof request === "string" ? worker.location.origin + request : request.url, 3);
    const like = (await cache.keys()).filter((r) => part(r.url, 3) === name).pop(), found = like && await cache.match(like);
    if (found) return found;
    throw away;
  }
}

/** @param {string} url @param {number} n */
const part = (url, n) => new URL(url).pathname.split("/")[n];

/** @param {Request} request */
async function other(request) {
  const small = /^\/v\/[^/]+\/picture\/[^/]+\/small$/.test(new URL(request.url).pathname) && await caches.match(request, { ignoreVary: true });
  if (small) return small;
  const answer = await fetch(request);
  if (answer.status === 401 || part(answer.url, 1) === "login") await forget();
  return answer;
}

/** @param {FetchEvent} event */
async function page({ request }) {
  const now = turn, path = new URL(request.url).pathname;
  /** @type {Response} */
  let fresh;
  try { fresh = await fetch(request); } catch { return kept(request); }
  const html = fresh.headers.get("Content-Type")?.startsWith("text/html");
  if (request.method === "GET" && fresh.ok && !fresh.redirected && html && (path === "/" || path.startsWith("/v/"))) await put(now, request, fresh.clone()).catch(() => {});
  return fresh;
}

/** @param {number} now @param {Request} request @param {Response} answer */
async function put(now, request, answer) {
  const cache = await caches.open(opened);
  await cache.delete(request); // the newest stands last
  if (turn === now) await cache.put(request, answer);
  const all = await cache.keys();
  for (const old of all.slice(0, Math.max(0, all.length - most.opened))) await cache.delete(old);
}

/** @param {Response} r */
const when = (r) => Date.parse(r.headers.get("Date") ?? "") || 0;

/** @param {string} id of a vehicle */
async function keepVehicle(id) {
  const now = turn, list = "/v/" + id + "/kept", { usage = 0, quota = Infinity } = await navigator.storage.estimate();
  if (quota - usage < room) return;
  const before = await caches.match(list, { cacheName: of + id });
  if (before && Date.now() - when(before) < 60_000) return; // it costs the server something
  const answer = await fetch(list, { headers: { Accept: "application/json", "If-None-Match": before?.headers.get("ETag") ?? "" } });
  if (answer.status === 401) return forget();
  if (answer.status !== 200 && !(answer.status === 304 && before)) return;
  const cache = await caches.open(of + id);
  /** @param {string} at @param {string} body @param {string} [type] */
  const set = (at, body, type = "text/html; charset=utf-8") => {
    if (turn !== now) throw new Error("somebody else");
    const headers = new Headers({ "Content-Type": type, Date: new Date().toUTCString() });
    for (const name of ["ETag", "Content-Security-Policy"]) headers.set(name, answer.headers.get(name) ?? "");
    return cache.put(at, new Response(body, { headers }));
  };
  const text = answer.status === 200 ? await answer.text() : "";
  try {
    /** @type {{pages: Record<string, string>, assets: string[], pictures: string[]}} */
    const { pages, assets, pictures } = JSON.parse(text || "{}");
    if (text) {
      await cache.delete(list); // as long as this is under way it is not whole
      for (const [at, html] of Object.entries(pages)) await set(at, html);
      for (const at of assets) await asset(at);
      for (const at of pictures) {
        const src = await cache.match(at) ? undefined : await fetch(at);
        if (src?.ok && turn === now) await cache.put(at, src);
      }
      const all = new Set([...Object.keys(pages), ...pictures]);
      for (const old of await cache.keys()) if (!all.has(new URL(old.url).pathname)) await cache.delete(old);
    }
    await set(list, "", "application/json");
  } catch (wrong) { // what waits to be written down needs the room; what is of somebody else goes
    if (turn !== now || /** @type {Error} */ (wrong).name === "QuotaExceededError") await caches.delete(of + id);
    throw wrong;
  }
  const ages = await Promise.all((await caches.keys()).filter((n) => n.startsWith(of)).map(async (n) => ({ n, at: when(await caches.match("/v/" + n.slice(of.length) + "/kept", { cacheName: n }) ?? new Response()) })));
  for (const old of ages.sort((a, b) => b.at - a.at).slice(most.vehicles)) await caches.delete(old.n);
}

/** What is kept of a page, the newest of it, and else what is kept at all. @param {Request} request */
async function kept(request) {
  const names = (await caches.keys()).filter((n) => n !== built);
  for (const ignoreSearch of request.method === "GET" ? [false, true] : []) {
    const all = await Promise.all(names.map((cacheName) => caches.match(request, { cacheName, ignoreSearch, ignoreVary: true })));
    const [found] = all.filter((r) => r !== undefined).sort((a, b) => when(b) - when(a));
    if (!found) continue;
    const said = `<p class="caution" role="status">${inWords("The server is not reached: this page is as it was on %s.", day(found))}</p>`;
    const headers = new Headers(found.headers);
    for (const name of ["Content-Encoding", "Content-Length"]) headers.delete(name);
    return new Response((await found.text()).replace('<main id="main">', "$&" + said), { headers });
  }
  return away(names, request.method !== "GET");
}

/** The browser's language and what is said in it, where that is not English: the server writes it before this script. @type {{lang?: string, words?: Record<string, string>}} */
const { lang = "en-GB", words = {} } = /** @type {any} */ (self);

/** As in words.js. @param {string} said @param {string} [holds] */
const inWords = (said, holds = "") => text(words[said] ?? said).replace("%s", holds);

/** @param {Response} r */
const day = (r) => new Date(when(r)).toLocaleString([lang, "en-GB"], { day: "numeric", month: "long", hour: "2-digit", minute: "2-digit" });

/** Says that the server is not reached, and what can be opened all the same. @param {string[]} names of caches @param {boolean} lost */
async function away(names, lost) {
  /** @type {Map<string, string>} */
  const links = new Map();
  for (const cache of await Promise.all(names.map((n) => caches.open(n)))) {
    for (const k of await cache.keys()) {
      const { pathname, search } = new URL(k.url), found = await cache.match(k);
      if (!found || /\/(kept|small|p\/[^/]*)$/.test(pathname)) continue;
      const title = /<title>([^<]*)/.exec(await found.text())?.[1].split(" – ")[0] ?? pathname;
      links.set(title, `<li><a href="${pathname + text(search)}">${title}</a> <span class="soft">${day(found)}</span></li>`);
    }
  }
  const styles = (await (await caches.open(built)).keys()).map((r) => new URL(r.url).pathname).filter((at) => /(draw|style)\.css$/.test(at)).map((at) => `<link rel="stylesheet" href="${at}">`);
  const list = [...links.keys()].sort().map((title) => links.get(title));
  const rest = list.length ? `<p>${inWords("These are kept on this device, and positions of vehicles that were opened:")}</p><ul class="plain">${list.join("")}</ul>` : `<p>${inWords("Pages of vehicles opened on this device are kept here; none was yet.")}</p>`;
  const html = `<!doctype html><html lang="${lang}"><meta charset="utf-8"><meta name="viewport" content="width=device-width,initial-scale=1"><meta name="color-scheme" content="light dark">
<title>${inWords("The server is not reached")}</title>${styles.slice(-2).join("")}<main><h1>${inWords("The server is not reached, and this page is not kept here.")}</h1>${lost ? `<p>${inWords("Nothing was written down. Go back: what you typed is still there.")}</p>` : ""}${rest}<p>${inWords("What was written down and waits goes when there is a connection.")}</p></main></html>`;
  return new Response(html, { status: 503, headers: { "Content-Type": "text/html; charset=utf-8" } });
}

/** @param {string} s */
function text(s) {
  return s.replace(/[&<>"]/g, (c) => "&#" + c.charCodeAt(0) + ";");
}
