// Saving a text: nothing written is lost when the server is gone, the store is busy, the session is over or the
// page is left. A save keeps its key until the server has answered it, so that one sent twice is kept once.
"use strict";
(() => {
  const { form, text, send } = rigEditor;
  if (!form) return;
  const kept = document.getElementById("kept");
  const button = document.getElementById("save");
  const place = `ropewright:text:${form.dataset.who}:${form.dataset.rig}`;
  const WAITS = [2, 4, 8, 15, 30]; // s before a save is sent again
  let saved = "unsaved" in form.dataset ? null : text.value;
  let pending = null;
  let tries = 0;
  let again = 0;
  let storing = 0;

  const unsaved = () => text.value !== saved;

  function tell(kind, words, ...more) {
    kept.className = `told-${kind}`;
    kept.replaceChildren(words, ...more.flatMap((each) => [" ", each]));
  }

  function link(words, href, tab) {
    const made = document.createElement("a");
    made.href = href;
    made.textContent = words;
    if (tab) Object.assign(made, { target: "_blank", rel: "opener" });
    return made;
  }

  function press(words, act) {
    const made = document.createElement("button");
    made.type = "button";
    made.className = "button";
    made.textContent = words;
    made.addEventListener("click", act);
    return made;
  }

  // The text in this browser, under the rig and the account, until it is saved or somebody signs out.
  function store() {
    clearTimeout(storing);
    try {
      if (unsaved()) localStorage.setItem(place, JSON.stringify({ text: text.value, base: form.elements.base.value, at: Date.now() }));
      else localStorage.removeItem(place);
    } catch (error) {
      tell("waits", "This browser can't keep the text for you: save often.");
    }
  }

  function stored() {
    try {
      return JSON.parse(localStorage.getItem(place));
    } catch (error) {
      return null;
    }
  }

  function offer() {
    const found = stored();
    const box = document.getElementById("found");
    if (!found || typeof found.text !== "string" || found.text === text.value) return;
    const when = new Date(found.at);
    document.getElementById("found-when").textContent = `, from ${when.toLocaleDateString()} ${when.toLocaleTimeString()}`;
    document.getElementById("found-take").addEventListener("click", () => {
      box.hidden = true;
      if (/^\d+$/.test(found.base)) form.elements.base.value = found.base;
      rigEditor.setText(found.text);
      text.focus();
    });
    document.getElementById("found-drop").addEventListener("click", () => {
      box.hidden = true;
      store();
      text.focus();
    });
    box.hidden = false;
  }

  async function transmit() {
    clearTimeout(again);
    if (!pending || pending.sent) return;
    pending.sent = true;
    button.disabled = true;
    tell("waits", "Saving…");
    const found = await send(form.action, pending.fields);
    pending.sent = false;
    button.disabled = false;
    answered(found);
  }

  function answered({ came, status, data }) {
    const retry = press("Send it again", transmit);
    if (came === "ok") return done(data);
    if (came === "gone" || came === "busy" || came === "broken") {
      const wait = WAITS[Math.min(tries++, WAITS.length - 1)];
      const why = { gone: "The server can't be reached.", busy: "The store can't be written just now.", broken: "The server failed." }[came];
      tell("waits", `${why} Not saved yet: your text is kept here and is sent again in ${wait} s.`, retry);
      again = setTimeout(transmit, 1000 * wait);
    } else if (came === "signed out") {
      tell("wrong", "You are signed out. Not saved yet: your text is kept here, and is sent again once you are back.", link("Sign in in another tab", form.dataset.signIn, true), retry);
    } else if (came === "not allowed") {
      tell("wrong", `The server did not take it. Not saved: your text is kept here. Sign in again, or ask whether your account may still write ${form.dataset.noun}s.`, link("Sign in in another tab", form.dataset.signIn, true), retry);
    } else if (status === 409) {
      const mine = press("Save it as mine", () => {
        pending.fields.who = String(data.who);
        transmit();
      });
      tell("wrong", `${data.told} Not saved yet.`, mine);
    } else {
      pending = null;
      tell("wrong", data ? data.told : "The server did not understand this. Not saved: your text is kept here.");
    }
  }

  function done(data) {
    saved = pending.fields.text;
    pending = null;
    tries = 0;
    form.elements.base.value = data.number;
    form.elements.note.value = "";
    form.elements.key.value = crypto.randomUUID ? crypto.randomUUID() : String(Math.random()).slice(2) + Date.now();
    store();
    const later = unsaved() ? " What you wrote since is not saved." : "";
    const kind = data.outcome === "saved" || data.outcome === "unchanged" ? "good" : "waits";
    const onward = data.outcome === "beside" ? link("See both and choose", data.beside) : link(`Open the ${form.dataset.noun}`, data.open);
    tell(kind, data.told + later, onward);
  }

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    if (pending) return transmit();
    const fields = {};
    for (const name of ["text", "base", "note", "key", "who"]) fields[name] = form.elements[name].value;
    if (new Blob([fields.text]).size > Number(form.dataset.longest)) {
      tell("wrong", `The text is too long: a ${form.dataset.noun} file holds at most ${Number(form.dataset.longest).toLocaleString("en")} bytes. Not saved.`);
      return undefined;
    }
    pending = { fields, sent: false };
    return transmit();
  });

  text.addEventListener("input", () => {
    clearTimeout(storing);
    storing = setTimeout(store, 400);
    if (kept.className === "told-good") tell("plain", "");
  });
  addEventListener("pagehide", store);
  addEventListener("beforeunload", (event) => {
    if (!unsaved() && !pending) return;
    store();
    event.preventDefault();
  });
  addEventListener("online", transmit);
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden) transmit();
  });
  if ("BroadcastChannel" in window)
    new BroadcastChannel("ropewright").addEventListener("message", (event) => {
      if (event.data !== "signed in") return;
      transmit();
      rigEditor.look();
    });
  offer();
})();
