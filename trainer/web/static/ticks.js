/* Keeps each criterion of an observation sheet as soon as it is marked, says so beside it, and offers
   to take the last mark back for ten seconds. Without this file the buttons below keep the whole sheet. */
(function () {
  "use strict";
  var form = document.querySelector("form[data-tick]");
  if (!form || !window.fetch) { return; }

  var NOT_YET = "not saved yet - keep this page open";
  var UNDO_MS = 10000;
  var NOTE_PAUSE_MS = 1200;
  var AGAIN_MS = 4000;
  var open = 0;
  var leaving = false;

  function chosen(row) { return row.querySelector("input[type=radio]:checked"); }

  function send(row, before) {
    var box = chosen(row);
    var said = row.querySelector("[data-said]");
    var note = row.querySelector("textarea");
    var turn = String(Number(row.dataset.turn || 0) + 1);
    var body = new FormData();
    if (!box) { return; }
    row.dataset.turn = turn;
    body.append("csrf_token", form.elements.csrf_token.value);
    body.append("criterion", row.dataset.criterion);
    body.append("value", box.value);
    body.append("note", note ? note.value : "");
    said.textContent = NOT_YET;
    open += 1;
    window.fetch(form.dataset.tick, {
      method: "POST", body: body, headers: { Accept: "application/json" }, credentials: "same-origin", redirect: "error"
    }).then(function (answer) {
      return answer.json().then(function (got) { return { ok: answer.ok, status: answer.status, words: got.said }; });
    }).then(function (got) {
      open -= 1;
      if (row.dataset.turn !== turn) { return; }
      if (got.ok) {
        said.textContent = got.words;
        if (before !== undefined && before !== null) { offer(row, before, said); }
      } else if (got.status >= 500 || got.status === 401) {
        again(row, turn);
      } else {
        said.textContent = got.words;
      }
    }).catch(function () {
      open -= 1;
      again(row, turn);
    });
  }

  function again(row, turn) {
    window.setTimeout(function () { if (row.dataset.turn === turn) { send(row); } }, AGAIN_MS);
  }

  function offer(row, before, said) {
    var old = row.querySelector("button.undo");
    if (old) { old.remove(); }
    var button = document.createElement("button");
    button.type = "button";
    button.className = "act undo";
    button.textContent = "back to " + before;
    button.addEventListener("click", function () {
      row.querySelector('input[value="' + before + '"]').checked = true;
      row.dataset.kept = before;
      button.remove();
      send(row);
    });
    said.before(button);
    window.setTimeout(function () { button.remove(); }, UNDO_MS);
  }

  Array.prototype.forEach.call(form.querySelectorAll("[data-criterion]"), function (row) {
    var first = chosen(row);
    var typing = null;
    row.dataset.kept = first ? first.value : "";
    row.addEventListener("change", function (event) {
      if (event.target.type !== "radio") { return; }
      var before = row.dataset.kept;
      row.dataset.kept = event.target.value;
      send(row, before || null);
    });
    row.addEventListener("input", function (event) {
      if (event.target.tagName !== "TEXTAREA" || !chosen(row)) { return; }
      row.querySelector("[data-said]").textContent = NOT_YET;
      window.clearTimeout(typing);
      typing = window.setTimeout(function () { send(row); }, NOTE_PAUSE_MS);
    });
  });

  form.addEventListener("submit", function () { leaving = true; });
  window.addEventListener("beforeunload", function (event) {
    if (!leaving && open > 0) { event.preventDefault(); }
  });
}());
