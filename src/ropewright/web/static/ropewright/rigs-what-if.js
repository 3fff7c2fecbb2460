// A slider and its number move together; only the number is sent.
"use strict";
document.addEventListener("input", (event) => {
  const slider = event.target.closest("input[type=range][data-of]");
  if (slider) {
    const number = document.getElementById(slider.dataset.of);
    number.value = slider.value;
    return;
  }
  const other = document.querySelector(`input[type=range][data-of="${CSS.escape(event.target.id)}"]`);
  if (other) other.value = event.target.value;
}, true);
