// Talking to the server from the editor. Whatever becomes of a request is one word, so that nothing is missed:
// ok, refused (the server said why), signed out, not allowed, busy, gone (no server), stopped (a newer one was sent).
"use strict";
window.rigEditor = {};

rigEditor.send = async function (url, fields, signal) {
  const cookie = document.cookie.split("; ").find((each) => each.startsWith("csrftoken="));
  const token = cookie ? cookie.slice(10) : document.querySelector("[name=csrfmiddlewaretoken]").value;
  const body = fields instanceof URLSearchParams ? fields : new URLSearchParams(fields);
  let response;
  try {
    response = await fetch(url, {
      method: "POST", body, signal, redirect: "manual", credentials: "same-origin",
      headers: { "X-CSRFToken": token, Accept: "application/json" },
    });
  } catch (error) {
    return { came: error.name === "AbortError" ? "stopped" : "gone" };
  }
  if (response.type === "opaqueredirect" || response.status === 401) return { came: "signed out" };
  if (response.status === 403) return { came: "not allowed" };
  if ([502, 503, 504].includes(response.status)) return { came: "busy" };
  let data = null;
  try {
    data = await response.json();
  } catch (error) {
    return { came: error.name === "AbortError" ? "stopped" : response.status >= 500 ? "broken" : "not understood" };
  }
  return { came: response.ok ? "ok" : "refused", status: response.status, data };
};
