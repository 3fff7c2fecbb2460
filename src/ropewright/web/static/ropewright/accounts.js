// Copying a link that is shown once; the time zone of this machine as the first choice.
"use strict";
for (const button of document.querySelectorAll("[data-copy]")) {
  const source = document.getElementById(button.dataset.copy);
  const told = document.querySelector("[data-copied]");
  source.addEventListener("focus", () => source.select());
  if (!navigator.clipboard) continue; // without it the link is selected by hand
  button.hidden = false;
  button.addEventListener("click", async () => {
    try {
      await navigator.clipboard.writeText(source.value);
      told.textContent = "Copied.";
    } catch {
      source.focus();
      told.textContent = "Not copied by itself: it is selected, copy it by hand.";
    }
  });
}

for (const select of document.querySelectorAll("select[data-zone]")) {
  const zone = Intl.DateTimeFormat().resolvedOptions().timeZone;
  const untouched = [...select.options].every((option) => option.selected === (option.value === "UTC"));
  if (untouched && [...select.options].some((option) => option.value === zone)) select.value = zone;
}
