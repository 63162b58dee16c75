// Live pages and clocks. Everything else works without this script.
(function () {
  "use strict";
  // Nobody here for ten minutes: what is on the screen goes, as the address does.
  var used = Date.now();
  ["keydown", "pointerdown", "input"].forEach(function (kind) {
    document.addEventListener(kind, function () { used = Date.now(); }, true);
  });
  function lock() {
    document.body.replaceChildren();
    var says = document.createElement("main");
    says.textContent = "The desk locked itself or was ended. Everything that was saved is in the case file. The terminal shows where it goes on.";
    document.body.append(says);
    document.title = "Locked";
  }
  var idle = setInterval(function () {
    if (Date.now() - used >= 600000) { clearInterval(idle); lock(); }
  }, 5000);

  var form = document.querySelector("form[data-answers]");
  if (!form) { return; }
  var state = document.getElementById("state");
  var queue = Promise.resolve();

  function hash() { return document.getElementById("hash").value; }
  function say(text) { state.textContent = text; }

  // Takes the parts that differ from a page that the server made.
  function take(text) {
    var page = new DOMParser().parseFromString(text, "text/html");
    if (!page.getElementById("hash")) { return false; }
    ["live-bar", "live-nav", "live-messages", "live-tools", "live-findings", "live-papers", "live-derived"].forEach(function (id) {
      swap(id, page);
    });
    pages(page);
    document.getElementById("hash").value = page.getElementById("hash").value;
    fields(page);
    tick();
    return true;
  }
  function swap(id, page) {
    var old = document.getElementById(id), now = page.getElementById(id);
    if (!old || !now || old.isEqualNode(now)) { return; }
    // What somebody is typing in is left alone.
    if (old.contains(document.activeElement) && document.activeElement.matches("input, select")) { return; }
    var others = document.getElementById("others"), told = others ? others.textContent : "";
    old.replaceWith(document.adoptNode(now));
    if (id === "live-bar") { document.getElementById("others").textContent = told; }
  }
  // Only pictures that changed are asked for anew.
  function pages(page) {
    var old = document.getElementById("live-pages"), now = page.getElementById("live-pages");
    var before = {};
    old.querySelectorAll("figure").forEach(function (one) { before[one.id] = one; });
    now.querySelectorAll("figure").forEach(function (one) {
      var known = before[one.id];
      if (known && known.dataset.hash === one.dataset.hash) {
        known.classList.remove("changed");
        one.replaceWith(known);
      } else if (known) {
        one.classList.add("changed");
      }
    });
    old.replaceWith(document.adoptNode(now));
  }
  // The fields as they are now; what is being typed stays, and so does the place of the cursor.
  function fields(page) {
    var old = document.getElementById("live-fields"), now = page.getElementById("live-fields");
    if (old.isEqualNode(now)) { return; }
    var at = document.activeElement, name = at && at.form === form ? at.name : "", value = at ? at.value : "";
    var kept = at && at.type !== "radio" && at.type !== "checkbox" && dirty === name;
    var start = null, end = null;
    try { start = at.selectionStart; end = at.selectionEnd; } catch (e) { start = null; }
    var open = {};
    old.querySelectorAll("details[open]").forEach(function (one) { var i = one.querySelector("input"); if (i) { open[i.name] = true; } });
    old.replaceWith(document.adoptNode(now));
    document.getElementById("live-fields").querySelectorAll("details").forEach(function (one) { var i = one.querySelector("input"); if (i && open[i.name]) { one.open = true; } });
    if (!name) { return; }
    var again = Array.prototype.find.call(form.elements, function (one) {
      return one.name === name && (one.type !== "radio" && one.type !== "checkbox" && one.type !== "submit" || one.value === value);
    });
    if (!again) { return; }
    if (kept) { again.value = value; }
    again.focus({ preventScroll: true });
    if (start !== null && again.setSelectionRange) { try { again.setSelectionRange(start, end); } catch (e) { return; } }
  }

  function send(body) {
    body.set("hash", hash());
    Array.prototype.forEach.call(form.querySelectorAll("input[name=open]"), function (one) { body.append("open", one.value); });
    return fetch(form.action, {
      method: "POST", body: body, headers: { "X-Desk": "1" }, cache: "no-store", credentials: "omit", redirect: "error"
    }).then(function (answer) {
      return answer.text().then(function (text) {
        if (!take(text)) { say("Not saved: the desk does not answer as it should."); return; }
        say(answer.ok ? "Saved." : "Not saved: see above.");
      });
    }).catch(function () { say("Not saved: the desk has ended. What was saved before is in the file."); });
  }
  var dirty = "";
  function save(field) {
    var body = new URLSearchParams();
    field.querySelectorAll("input").forEach(function (one) {
      if ((one.type !== "radio" && one.type !== "checkbox") || one.checked) { body.append(one.name, one.value); }
    });
    dirty = "";
    queue = queue.then(function () { return send(body); });
  }
  document.addEventListener("input", function (event) { dirty = event.target.name || ""; });
  document.addEventListener("change", function (event) {
    var field = event.target.closest("[data-field]");
    if (field && form.contains(field)) { save(field); }
  });
  form.addEventListener("submit", function (event) {
    event.preventDefault();
    var by = event.submitter, body = new URLSearchParams();
    if (by && by.name === "now") {
      body.append("now", by.value);
    } else {
      new FormData(form).forEach(function (value, name) { if (name !== "hash" && name !== "open") { body.append(name, value); } });
    }
    dirty = "";
    queue = queue.then(function () { return send(body); });
  });

  // What others change, in a window or in an editor.
  var clinic = "";
  var events = new EventSource(form.dataset.live);
  events.addEventListener("case", function (event) {
    var parts = event.data.split(" "), known = clinic === "" || clinic === parts[1];
    clinic = parts[1];
    if (known && parts[0] === hash()) { return; }
    queue = queue.then(function () {
      if (known && parts[0] === hash()) { return null; }
      var address = location.pathname + (location.search ? location.search + "&" : "?") + "live=1";
      return fetch(address, { cache: "no-store", credentials: "omit", headers: { "X-Desk": "1" } })
        .then(function (answer) { return answer.text(); })
        .then(function (text) { take(text); })
        .catch(function () { say("The desk has ended."); });
    });
  });
  events.addEventListener("others", function (event) {
    document.getElementById("others").textContent = event.data ? "Another case is open in another window: " + event.data : "";
  });
  events.addEventListener("locked", function () {
    events.close();
    lock();
  });

  // How long ago a time of today was, to the second.
  function clocks() {
    var now = new Date();
    document.querySelectorAll(".clock[data-since]").forEach(function (one) {
      var parts = /^(\d{1,2}):(\d{2})$/.exec(one.dataset.since);
      if (!parts) { return; }
      var then = new Date(now.getFullYear(), now.getMonth(), now.getDate(), Number(parts[1]), Number(parts[2]));
      var seconds = Math.floor((now - then) / 1000);
      one.textContent = seconds >= 0 && seconds < 7200 ? Math.floor(seconds / 60) + " min " + String(seconds % 60).padStart(2, "0") + " s ago" : "";
    });
  }
  // A stopwatch for the phenol: it counts and writes nothing.
  var watches = {};
  function stopwatches() {
    document.querySelectorAll("[data-stopwatch]").forEach(function (one) {
      var path = one.dataset.stopwatch;
      if (!one.firstChild) {
        var button = document.createElement("button");
        button.type = "button";
        button.addEventListener("click", function () {
          var watch = watches[path];
          if (watch && watch.end === null) { watch.end = Date.now(); } else { watches[path] = { start: Date.now(), end: null }; }
          stopwatches();
        });
        one.append(button, document.createElement("span"));
      }
      var watch = watches[path], runs = watch && watch.end === null;
      var word = runs ? "Stop the clock" : "Start the clock";
      if (one.firstChild.textContent !== word) { one.firstChild.textContent = word; }
      one.lastChild.textContent = watch ? " " + Math.floor(((runs ? Date.now() : watch.end) - watch.start) / 1000) + " s" : "";
    });
  }
  function tick() { clocks(); stopwatches(); }
  tick();
  setInterval(tick, 1000);
  var summary = document.getElementById("summary");
  if (summary) { summary.focus(); }
}());
