// Writing a text: line numbers with signs, the look at it while it is written, the views of the page.
"use strict";
(() => {
  const form = document.getElementById("writing");
  if (!form) return;
  const text = document.getElementById("text");
  const numbers = document.getElementById("numbers");
  const checked = document.getElementById("checked");
  const SIGNS = { fault: "✕", stop: "✕", question: "?", caution: "!", note: "–" };
  const PAUSE = 250; // ms without a key before the text is looked at
  let signs = new Map();
  let lineCount = 0;

  function renumber() {
    const count = text.value.split("\n").length;
    if (count !== lineCount) {
      lineCount = count;
      text.rows = count + 1;
    }
    const parts = [];
    let plain = "";
    for (let line = 1; line <= count; line++) {
      const level = signs.get(line);
      if (level) {
        parts.push(plain);
        const mark = document.createElement("b");
        mark.className = level;
        mark.textContent = `${SIGNS[level] || "–"} ${line}`;
        parts.push(mark, "\n");
        plain = "";
      } else plain += `${line}\n`;
    }
    numbers.replaceChildren(...parts, plain);
  }

  // The newest look wins: each has a number, and an older one that is still on its way is stopped, here and,
  // by the name of this page, at the server.
  const page = form.elements.key.value;
  let newest = 0;
  let running = null;
  let timer = 0;

  async function look() {
    const mine = ++newest;
    running?.abort();
    running = new AbortController();
    const signal = running.signal;
    if (text.value.length > Number(form.dataset.longest)) {
      checked.textContent = `The text is too long to be checked or kept: a ${form.dataset.noun} file holds at most ${Number(form.dataset.longest).toLocaleString("en")} bytes.`;
      return;
    }
    checked.textContent = "checking…";
    for (const stage of ["first", "picture", "whole"]) {
      const found = await rigEditor.send(form.dataset.live, { text: text.value, n: mine, stage, page }, signal);
      if (mine !== newest || found.came === "stopped") return;
      if (found.came !== "ok") {
        checked.textContent = TROUBLE[found.came] || "The check failed. Your text is kept in this page.";
        if (found.came === "gone" || found.came === "busy") timer = setTimeout(look, 5000);
        return;
      }
      show(found.data, stage);
      if (found.data.whole) return; // faults, and what is too large, are said at once
    }
  }

  const TROUBLE = {
    gone: "The server can't be reached, so this is not checked. Your text is kept in this page.",
    busy: "The server is busy, so this is not checked yet. Your text is kept in this page.",
    "signed out": "You are signed out, so this is not checked. Your text is kept in this page.",
    "not allowed": `The server did not take this. Sign in again, or ask whether your account may still write ${form.dataset.noun}s.`,
  };

  function show(data, stage) {
    const picture = document.getElementById("picture");
    // While a word is half written the last picture stays, and says that it is not of this text.
    const old = !data.drawn && picture.querySelector("svg") !== null;
    if (data.picture !== null) picture.innerHTML = data.picture;
    picture.classList.toggle("old", old);
    document.getElementById("old-picture").hidden = !old;
    document.getElementById("verdict").innerHTML = data.verdict;
    document.getElementById("said").innerHTML = data.said;
    signs = new Map(data.lines);
    renumber();
    checked.textContent = data.whole
      ? "checked as it stands"
      : `first findings are there; ${stage === "first" ? "drawing" : "trying every failure"}…`;
    // On a phone the picture is on another view: its button says how many stops or faults there are.
    const grave = document.querySelectorAll("#said .mark-stop").length;
    document.getElementById("grave").textContent = grave ? ` ✕ ${grave}` : "";
  }

  function lookSoon() {
    clearTimeout(timer);
    timer = setTimeout(look, PAUSE);
  }

  // A new line starts under the one before it, with its dash in a list. Undo keeps working.
  text.addEventListener("keydown", (event) => {
    if (event.key === "Enter" && !event.shiftKey && !event.ctrlKey && !event.metaKey && !event.altKey && !event.isComposing) {
      const before = text.value.slice(0, text.selectionStart);
      const line = before.slice(before.lastIndexOf("\n") + 1);
      const lead = line.match(/^ *(- )?/)[0];
      if (!lead) return;
      event.preventDefault();
      const empty = lead.endsWith("- ") && line === lead;
      if (empty) text.setSelectionRange(text.selectionStart - 2, text.selectionEnd);
      document.execCommand("insertText", false, empty ? "" : `\n${lead}`);
    } else if (event.key.toLowerCase() === "s" && (event.ctrlKey || event.metaKey)) {
      event.preventDefault();
      form.requestSubmit();
    }
  });

  function selectLine(line, column) {
    view("text");
    const lines = text.value.split("\n");
    const start = lines.slice(0, line - 1).reduce((sum, each) => sum + each.length + 1, 0);
    const end = start + (lines[line - 1] || "").length;
    text.focus({ preventScroll: true });
    text.setSelectionRange(column > 1 ? Math.min(start + column - 1, end) : start, end);
    text.scrollLeft = 0;
    const row = parseFloat(getComputedStyle(text).lineHeight);
    const top = text.getBoundingClientRect().top + window.scrollY + (line - 1) * row;
    window.scrollTo({ top: Math.max(0, top - window.innerHeight / 3) });
  }

  document.addEventListener("click", (event) => {
    const line = event.target.closest("[data-line]");
    if (line && form.contains(line)) selectLine(Number(line.dataset.line), Number(line.dataset.column || 1));
    if (event.target.closest("[data-enlarge]")) enlarge();
    const show = event.target.closest("[data-show]");
    if (show) view(show.dataset.show);
  });

  // The picture over the whole page; Escape and the button close it, and the focus goes back to where it was.
  const large = document.getElementById("large");
  function enlarge() {
    const drawn = document.querySelector("#picture svg");
    if (!drawn) return;
    large.querySelector(".picture").replaceChildren(drawn.cloneNode(true));
    const { width, height } = drawn.viewBox.baseVal;
    large.classList.toggle("tall", height > width);
    large.showModal();
  }
  large.addEventListener("close", () => large.querySelector(".picture").replaceChildren());

  function view(name) {
    form.dataset.view = name;
    for (const button of form.querySelectorAll("[data-show]")) button.setAttribute("aria-pressed", String(button.dataset.show === name));
    document.getElementById("text-pane").hidden = name === "tables";
    document.getElementById("tables-pane").hidden = name !== "tables";
    form.dispatchEvent(new CustomEvent("view", { detail: name }));
  }

  Object.assign(rigEditor, {
    form, text, look, lookSoon, selectLine, view,
    setText(value) {
      text.value = value;
      text.dispatchEvent(new Event("input", { bubbles: true }));
    },
  });

  text.addEventListener("input", () => {
    renumber();
    lookSoon();
  });
  renumber();
  look();
})();
