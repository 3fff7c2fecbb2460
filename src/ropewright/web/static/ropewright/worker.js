// Keeps pages for when there is no network. Filled in by the shell's own rules; see pages/views.py.
"use strict";
self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
