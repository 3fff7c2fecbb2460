// The shell of every page: the folding list of places, the worker that keeps pages, and the word when a
// page is an old copy.
"use strict";
document.documentElement.classList.add("js");

document.addEventListener("click", (event) => {
  const fold = event.target.closest("[data-fold]");
  if (!fold) return;
  const open = document.getElementById(fold.dataset.fold).classList.toggle("open");
  fold.setAttribute("aria-expanded", String(open));
});

document.addEventListener("submit", (event) => {
  if (!event.target.matches("[data-sign-out]")) return;
  try {
    for (const place of Object.keys(localStorage)) if (place.startsWith("ropewright:")) localStorage.removeItem(place);
  } catch { /* a browser that keeps nothing has nothing to forget */ }
  if (navigator.serviceWorker?.controller)
    navigator.serviceWorker.controller.postMessage({ forget: true });
});

if ("serviceWorker" in navigator && document.body.dataset.who) {
  navigator.serviceWorker.register("/worker.js");
  navigator.serviceWorker.ready.then((worker) => worker.active.postMessage({ who: document.body.dataset.who }));
}

document.addEventListener("htmx:responseError", (event) => {
  const box = document.getElementById("ageing");
  box.textContent = `The server answered ${event.detail.xhr.status}. Nothing was changed; try again, or open the page anew.`;
  box.hidden = false;
});

document.addEventListener("htmx:sendError", () => {
  const box = document.getElementById("ageing");
  box.textContent = "The server can't be reached. What you see is as it was; nothing was changed.";
  box.hidden = false;
});

// A part of a page that asks anew after the session has ended must not fill with the page to sign in.
document.addEventListener("htmx:beforeSwap", (event) => {
  if (!new URL(event.detail.xhr.responseURL, location).pathname.startsWith("/sign-in/")) return;
  event.detail.shouldSwap = false;
  const box = document.getElementById("ageing");
  box.textContent = "You are signed out, so this page no longer asks for what is new. Sign in and open it again.";
  box.hidden = false;
});
