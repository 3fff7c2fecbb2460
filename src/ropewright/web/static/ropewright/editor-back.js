// Tells the page with unsaved text that somebody is signed in again.
"use strict";
if ("BroadcastChannel" in window) new BroadcastChannel("ropewright").postMessage("signed in");
