// Says at once that a chosen file is too large, before any of it is sent.
"use strict";
document.addEventListener("change", (event) => {
  const most = Number(event.target.dataset?.mostBytes);
  if (!most || !event.target.files) return;
  const size = Math.max(0, ...[...event.target.files].map((file) => file.size));
  event.target.setCustomValidity(size > most
    ? `The file has ${(size / 1e6).toFixed(1)} MB; ${most / 1e6} MB are the most.` : "");
  event.target.reportValidity();
});
