// Steps through a storyboard: one step at a time by keys, thumbs or a swipe. Without it all steps stand below
// each other. The address keeps the step (#7), so that it can be sent.
"use strict";
(() => {
  const story = document.querySelector("[data-story]");
  if (!story) return;
  const steps = [...story.querySelectorAll(".step")];
  const thumbs = document.querySelector("[data-thumbs]");
  const links = [...document.querySelectorAll(".strip a")];
  const where = thumbs.querySelector("[data-where]");
  const back = thumbs.querySelector("[data-back]");
  const on = thumbs.querySelector("[data-on]");
  let now = 0;

  // A step that changes nothing is shown with the picture of the state that it looks at.
  for (const step of steps) {
    if (step.querySelector(".frame")) continue;
    const own = steps.find((other) => other.dataset.scene === step.dataset.scene)?.querySelector(".frame");
    if (!own) continue;
    const copy = own.cloneNode(true);
    copy.classList.add("again");
    step.prepend(copy);
  }

  function show(number, keep) {
    now = Math.min(Math.max(number, 0), steps.length - 1);
    steps.forEach((step, k) => step.classList.toggle("shown", k === now));
    links.forEach((link, k) => {
      if (k === now) link.setAttribute("aria-current", "step");
      else link.removeAttribute("aria-current");
    });
    const link = links[now], strip = link.closest("ol");
    strip.scrollLeft = link.offsetLeft - strip.offsetLeft - strip.clientWidth / 2 + link.clientWidth / 2;
    where.textContent = now ? `step ${now} of ${steps.length - 1}` : `start of ${steps.length - 1} steps`;
    back.disabled = now === 0;
    on.disabled = now === steps.length - 1;
    if (!keep) return;
    history.replaceState(null, "", `#${now}`);
    steps[now].querySelector(".frame")?.scrollIntoView({ block: "nearest" });
  }

  function asked() {
    const number = Number.parseInt(location.hash.slice(1), 10);
    return Number.isInteger(number) ? number : 0;
  }

  document.addEventListener("keydown", (event) => {
    if (event.altKey || event.ctrlKey || event.metaKey || event.target.closest("input, textarea, select, .wide")) return;
    const to = { ArrowLeft: now - 1, ArrowRight: now + 1, Home: 0, End: steps.length - 1 }[event.key];
    if (to === undefined) return;
    event.preventDefault();
    show(to, true);
  });
  back.addEventListener("click", () => show(now - 1, true));
  on.addEventListener("click", () => show(now + 1, true));
  links.forEach((link, k) => link.addEventListener("click", (event) => {
    event.preventDefault();
    show(k, true);
  }));
  window.addEventListener("hashchange", () => show(asked(), false));

  let from = null;
  story.addEventListener("touchstart", (event) => {
    from = event.touches.length === 1 ? [event.touches[0].clientX, event.touches[0].clientY] : null;
  }, { passive: true });
  story.addEventListener("touchend", (event) => {
    if (!from) return;
    const x = event.changedTouches[0].clientX - from[0], y = event.changedTouches[0].clientY - from[1];
    if (Math.abs(x) > 60 && Math.abs(x) > 2 * Math.abs(y)) show(x < 0 ? now + 1 : now - 1, true);
    from = null;
  }, { passive: true });

  thumbs.hidden = false;
  story.classList.add("stepping");
  document.querySelector(".strip").classList.add("stepping-strip");
  show(asked(), false);
})();
