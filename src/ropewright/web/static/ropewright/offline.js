// Lists the pages that this device keeps, the last opened first.
"use strict";
(async () => {
  const list = document.getElementById("kept-pages");
  if (!list || !("caches" in window)) return;
  const cache = await caches.open("pages");
  for (const request of (await cache.keys()).reverse()) {
    const kept = await cache.match(request);
    const since = kept.headers.get("Ropewright-Kept");
    if (!since) continue;
    const html = (kept.headers.get("content-type") || "").includes("html");
    const title = html ? new DOMParser().parseFromString(await kept.text(), "text/html").title : "";
    const link = document.createElement("a");
    link.href = new URL(request.url).pathname + new URL(request.url).search;
    link.textContent = title || decodeURIComponent(link.pathname);
    const age = document.createElement("small");
    age.textContent = ` kept on ${new Date(since).toLocaleString()}`;
    const item = document.createElement("li");
    item.append(link, age);
    list.append(item);
  }
})();
