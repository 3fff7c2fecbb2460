// The tables of a rig: each button sends the text and one act, and gets the changed text and the tables back.
"use strict";
(() => {
  const { form, text, send, setText } = rigEditor;
  if (!form) return;
  const pane = document.getElementById("tables");
  const told = document.getElementById("told");
  const undo = document.getElementById("undo");
  const before = []; // texts that an undo goes back to
  let laid = null; // the text that the tables were made from
  let wrongs = 0; // refusals told at a field so far, for their names

  async function ask(fields) {
    const asked = new URLSearchParams(fields);
    asked.set("text", text.value);
    return send(form.dataset.tables, asked);
  }

  const TROUBLE = {
    gone: "The server can't be reached. Nothing was changed.",
    busy: "The server is busy. Nothing was changed; try again in a moment.",
    "signed out": "You are signed out. Nothing was changed, and your text is kept here. Sign in in another tab.",
  };

  function trouble(found) {
    return TROUBLE[found.came] || "The server did not understand this. Nothing was changed.";
  }

  async function lay() {
    if (laid === text.value) return;
    const now = text.value;
    told.textContent = "";
    const found = await ask({});
    if (now !== text.value) return;
    if (found.data?.html) pane.innerHTML = found.data.html;
    else pane.replaceChildren();
    told.textContent = found.data ? found.data.wrong || "" : trouble(found);
    laid = found.data && "text" in found.data ? now : null;
  }

  async function act(button) {
    const row = button.closest("[data-row]") || button.closest("details").querySelector("[data-row]");
    const fields = new URLSearchParams();
    for (const each of row.querySelectorAll("input, select"))
      if (each.name && (each.type !== "checkbox" || each.checked)) fields.append(each.name, each.value);
    for (const name of ["rope", "index", "part", "section"]) if (name in row.dataset) fields.set(name, row.dataset[name]);
    fields.set("act", button.dataset.act);
    if (button.dataset.also) fields.set("along", button.dataset.also);
    const then = text.value;
    const found = await ask(fields);
    if (then !== text.value) return;
    if (found.came !== "ok") return refuse(row, found);
    if (!("text" in found.data)) {
      pane.innerHTML = found.data.html; // the text was broken in between
      laid = null;
      return;
    }
    if (found.data.text !== text.value) {
      before.push(text.value);
      undo.hidden = false;
    }
    changed(found.data, row.closest("details.more") !== null);
  }

  function refuse(row, found) {
    const box = row.querySelector("[role=alert]");
    const words = found.data?.wrong || trouble(found);
    if (box) {
      box.textContent = words;
      box.hidden = false;
    } else told.textContent = words;
    for (const each of row.querySelectorAll("[aria-invalid]")) {
      each.removeAttribute("aria-invalid");
      each.removeAttribute("aria-describedby");
      each.closest(".field").classList.remove("field-wrong");
    }
    const field = found.data?.field && row.querySelector(`[name="${CSS.escape(found.data.field)}"]`);
    const above = field ? field.closest(".field") : row.querySelector(".tools:not([data-along])");
    if (box && above) above.after(box); // at the field that it speaks of, else under the buttons
    if (field) {
      box.id ||= `wrong-${(wrongs += 1)}`;
      field.setAttribute("aria-invalid", "true");
      field.setAttribute("aria-describedby", box.id);
      field.closest(".field").classList.add("field-wrong");
      field.focus();
    }
    const also = row.querySelector("[data-along]");
    if (also) also.hidden = !found.data?.along;
  }

  function changed(data) {
    laid = data.text;
    setText(data.text);
    pane.innerHTML = data.html;
    told.textContent = data.told;
    const row = data.row && pane.querySelector(`[data-key="${CSS.escape(data.row)}"]`);
    if (!row) return;
    row.classList.add("changed");
    (row.querySelector("summary") || row).focus({ preventScroll: true });
    row.scrollIntoView({ block: "nearest" });
  }

  pane.addEventListener("click", (event) => {
    const button = event.target.closest("[data-act]");
    if (button) act(button);
  });
  // What is chosen in one field leaves only what it has to choose in another.
  pane.addEventListener("change", (event) => {
    const { narrows } = event.target.dataset;
    if (!narrows) return;
    const has = event.target.selectedOptions[0]?.dataset.has?.split(" ");
    const field = event.target.closest("[data-row]").querySelector(`[name="${narrows}"]`);
    for (const each of field.options) each.hidden = each.disabled = Boolean(has && each.value && !has.includes(each.value));
    if (field.selectedOptions[0]?.disabled) field.value = "";
  });
  // A choice of how something is written goes into its field, the first word to replace marked.
  pane.addEventListener("change", (event) => {
    const { fills } = event.target.dataset;
    if (!fills || !event.target.value) return;
    const field = event.target.closest("[data-row]").querySelector(`[name="${fills}"]`);
    field.value = event.target.value;
    field.focus();
    const word = /[A-Z][A-Z.]+/.exec(field.value);
    if (word) field.setSelectionRange(word.index, word.index + word[0].length);
  });
  // Enter in a field does what its first button does; it never saves the rig half changed.
  pane.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || !event.target.matches("input")) return;
    event.preventDefault();
    event.target.closest("[data-row]")?.querySelector("[data-act]")?.click();
  });
  undo.addEventListener("click", () => {
    setText(before.pop());
    undo.hidden = before.length === 0;
    lay().then(() => { told.textContent = "Undone."; });
  });
  form.addEventListener("view", (event) => {
    if (event.detail === "tables") lay();
  });
})();
