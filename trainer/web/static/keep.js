/* Keeps an open sheet while it is being filled in, and says truthfully whether it is kept.
   The page works without this file: "keep and leave" does the same by a plain form post. */
(function () {
  "use strict";
  var form = document.querySelector("form[data-keep]");
  var said = document.getElementById("kept");
  if (!form || !said || !window.fetch) { return; }

  var NOT_YET = "not saved yet - keep this page open";
  var PAUSE_MS = 1200;
  var LONGEST_MS = 30000;
  var waiting = null;
  var sending = false;
  var changed = false;
  var leaving = false;
  var wait = PAUSE_MS;

  function later(ms) {
    window.clearTimeout(waiting);
    waiting = window.setTimeout(send, ms);
  }

  function touched() {
    changed = true;
    wait = PAUSE_MS;
    said.textContent = NOT_YET;
    later(PAUSE_MS);
  }

  function send() {
    if (sending || !changed) { return; }
    sending = true;
    changed = false;
    window.fetch(form.dataset.keep, {
      method: "POST",
      body: new FormData(form),
      headers: { Accept: "application/json" },
      credentials: "same-origin",
      redirect: "error"
    }).then(function (answer) {
      return answer.json().then(function (body) { return { ok: answer.ok, status: answer.status, body: body }; });
    }).then(function (got) {
      sending = false;
      if (got.ok) {
        wait = PAUSE_MS;
        if (changed) { later(PAUSE_MS); } else { said.textContent = got.body.said; }
        return;
      }
      if (got.status === 401) { again(NOT_YET + "; sign in again in another tab"); return; }
      if (got.status >= 500) { again(NOT_YET); return; }
      said.textContent = got.body.said;  /* closed elsewhere, withdrawn: trying again would not help */
    }).catch(function () {
      sending = false;
      again(NOT_YET);
    });
  }

  function again(words) {
    changed = true;
    said.textContent = words;
    wait = Math.min(wait * 2, LONGEST_MS);
    later(wait);
  }

  form.addEventListener("input", touched);
  form.addEventListener("change", touched);
  window.addEventListener("online", function () { if (changed) { later(0); } });
  form.addEventListener("submit", function () { leaving = true; window.clearTimeout(waiting); });
  window.addEventListener("beforeunload", function (event) {
    if (!leaving && (changed || sending)) { event.preventDefault(); }
  });
}());
