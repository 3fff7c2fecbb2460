// Keeps pages for when there is no network: the shell, and the last pages that the server marks as kept
// (rigs, procedures, cards). A kept page is shown only where the network fails, and says how old it is.
"use strict";

const SHELL = "shell-{{ version }}";
const PAGES = "pages";
const MOST = 60;
const WHO = "/kept-for";
const OFFLINE = "{% url 'pages:offline' %}";
const FILES = [{% for file in files %}"{{ file|escapejs }}", {% endfor %}];
const PLACE = '<p class="ageing" id="ageing" role="status" hidden></p>';

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(SHELL).then((cache) => cache.addAll([OFFLINE, ...FILES])).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    for (const name of await caches.keys()) if (name !== SHELL && name !== PAGES) await caches.delete(name);
    await self.clients.claim();
  })());
});

self.addEventListener("message", (event) => {
  if (event.data.forget) event.waitUntil(caches.delete(PAGES));
  if (event.data.who) event.waitUntil(belongsTo(event.data.who));
});

// What one account opened is not shown to the next on the same device.
async function belongsTo(who) {
  const cache = await caches.open(PAGES);
  const before = await cache.match(WHO);
  if (before && (await before.text()) !== who) await caches.delete(PAGES);
  await (await caches.open(PAGES)).put(WHO, new Response(who));
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin || request.headers.get("HX-Request")) return;
  if (url.pathname.startsWith("/static/")) event.respondWith(fromShell(request));
  else if (request.mode === "navigate") event.respondWith(page(event, request));
});

async function fromShell(request) {
  const kept = await caches.match(request);
  return kept || fetch(request);
}

async function page(event, request) {
  try {
    const answer = await fetch(request);
    if (answer.ok && answer.headers.get("Ropewright-Keep")) event.waitUntil(keep(request, answer.clone()));
    return answer;
  } catch (error) {
    return (await aged(request)) || (await caches.match(OFFLINE)) || Response.error();
  }
}

async function keep(request, answer) {
  const headers = new Headers(answer.headers);
  headers.set("Ropewright-Kept", new Date().toISOString());
  headers.delete("Content-Encoding"); // the body is kept unpacked
  headers.delete("Content-Length");
  const cache = await caches.open(PAGES);
  await cache.delete(request);
  await cache.put(request, new Response(await answer.blob(), { status: 200, headers }));
  const all = await cache.keys();
  for (const old of all.filter((kept) => new URL(kept.url).pathname !== WHO).slice(0, -MOST)) await cache.delete(old);
}

async function aged(request) {
  const kept = await (await caches.open(PAGES)).match(request);
  if (!kept || !(kept.headers.get("content-type") || "").includes("html")) return kept;
  const since = new Date(kept.headers.get("Ropewright-Kept"));
  const words = `No network. This page was kept ${ago(since)}, on ${since.toLocaleString()}; it may have changed since.`;
  const text = (await kept.text()).replace(PLACE, `<p class="ageing" id="ageing" role="status">${words}</p>`);
  return new Response(text, { headers: kept.headers });
}

function ago(since) {
  const minutes = Math.round((Date.now() - since) / 60000);
  if (minutes < 2) return "just now";
  if (minutes < 120) return `${minutes} minutes ago`;
  if (minutes < 48 * 60) return `${Math.round(minutes / 60)} hours ago`;
  return `${Math.round(minutes / 1440)} days ago`;
}
