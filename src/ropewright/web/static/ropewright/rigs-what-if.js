// A slider and its number move together; only the number is sent.
"use strict";
const sliderOf = (number) => document.querySelector(`input[type=range][data-of="${CSS.escape(number.id)}"]`);
document.addEventListener("input", (event) => {
  const slider = event.target.closest("input[type=range][data-of]");
  if (slider) {
    const number = document.getElementById(slider.dataset.of);
    number.value = slider.value;
    return;
  }
  const other = sliderOf(event.target);
  if (other) other.value = event.target.value;
}, true);
// The arrow keys go by the slider's step; a number that takes any step would go by one, from an efficiency of 0.85
// to the least.
document.addEventListener("keydown", (event) => {
  const way = { ArrowUp: 1, ArrowDown: -1 }[event.key];
  const number = event.target;
  if (!way || number.type !== "number" || event.altKey || event.ctrlKey || event.metaKey) return;
  const slider = sliderOf(number);
  if (!slider || number.value === "") return;
  event.preventDefault();
  const next = Number((number.valueAsNumber + way * Number(slider.step)).toFixed(6));
  number.value = Math.min(Number(slider.max), Math.max(Number(slider.min), next));
  number.dispatchEvent(new Event("input", { bubbles: true }));
});
