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

  // Takes the parts that differ from a page that the server made. What was not taken is shown as it stands.
  function take(text, wasTaken) {
    var page = new DOMParser().parseFromString(text, "text/html");
    if (!page.getElementById("hash")) { return false; }
    pages(page);
    document.getElementById("hash").value = page.getElementById("hash").value;
    fields(page, wasTaken);
    ["live-bar", "live-nav", "live-messages", "live-tools", "live-findings", "live-papers", "live-derived"].forEach(function (id) {
      swap(id, page);
    });
    tick();
    return true;
  }
  function swap(id, page) {
    var old = document.getElementById(id), now = page.getElementById(id);
    if (!old || !now || old.isEqualNode(now)) { return; }
    // What somebody is typing in is left alone.
    if (old.contains(document.activeElement) && document.activeElement.matches("input, select")) { return; }
    var others = document.getElementById("others"), told = others ? others.textContent : "";
    old.querySelectorAll("details[open][id]").forEach(function (one) {
      var same = now.querySelector("#" + CSS.escape(one.id));
      if (same) { same.open = true; }
    });
    old.replaceWith(document.adoptNode(now));
    if (id === "live-bar") { document.getElementById("others").textContent = told; }
  }
  function keys(parent) {
    return Array.prototype.map.call(parent.children, function (one, at) { return one.id || one.tagName + at; });
  }
  // Only pictures that changed are asked for anew; the old one stays until the new one is there. They come in dots, as
  // many as are shown, which are sooner drawn than outlines; of another size, or from near, the outlines are shown.
  function dots(image, outlines) {
    var box = image.getBoundingClientRect(), width = box.width - (image.offsetWidth - image.clientWidth);
    // What is in sight is asked for at once, and all else when it comes into sight.
    image.loading = box.bottom > 0 && box.top < innerHeight ? "eager" : "lazy";
    image.src = outlines.replace(/\.svg$/, "-" + Math.round(width * devicePixelRatio) + ".png");
  }
  visualViewport.addEventListener("resize", function () {
    document.querySelectorAll("#live-pages img").forEach(function (one) {
      var now = one.getAttribute("src"), outlines = now.replace(/-\d+\.png$/, ".svg");
      if (outlines !== now) { one.src = outlines; }
    });
  });
  function pages(page) {
    var old = document.getElementById("live-pages"), now = page.getElementById("live-pages");
    if (keys(old).join() !== keys(now).join()) { old.replaceWith(document.adoptNode(now)); return; }
    Array.prototype.forEach.call(old.children, function (one, at) {
      var other = now.children[at];
      one.classList.remove("changed");
      if (!one.dataset.hash) {
        if (!one.isEqualNode(other)) { one.replaceWith(other.cloneNode(true)); }
        return;
      }
      if (one.dataset.hash === other.dataset.hash) { return; }
      one.dataset.hash = other.dataset.hash;
      dots(one.querySelector("img"), other.querySelector("img").getAttribute("src"));
      one.querySelector("pre").textContent = other.querySelector("pre").textContent;
      one.classList.add("changed");
    });
  }
  // Makes a block of fields like another, field by field; what is the same is not touched.
  function like(old, now) {
    if (old.isEqualNode(now)) { return; }
    if (old.id !== now.id || !old.matches("#live-fields, .block, .inside")) {
      if (old.querySelector("details[open]")) { now.querySelectorAll("details").forEach(function (one) { one.open = true; }); }
      old.replaceWith(document.adoptNode(now));
      return;
    }
    var before = {}, next = old.firstElementChild, names = keys(old);
    Array.prototype.forEach.call(old.children, function (one, at) { before[names[at]] = one; });
    keys(now).forEach(function (name, at) { names[at] = name; });
    Array.prototype.slice.call(now.children).forEach(function (one, at) {
      var known = before[names[at]];
      delete before[names[at]];
      if (!known) { old.insertBefore(document.adoptNode(one), next); return; }
      if (known === next) { next = next.nextElementSibling; } else { old.insertBefore(known, next); }
      like(known, one);
    });
    Object.keys(before).forEach(function (name) { before[name].remove(); });
  }
  // The fields as they are now; what is being typed stays, and so does the place of the cursor.
  function fields(page, wasTaken) {
    var old = document.getElementById("live-fields"), now = page.getElementById("live-fields");
    var at = document.activeElement, name = at && at.form === form ? at.name : "", value = at ? at.value : "";
    var kept = at && at.type !== "radio" && at.type !== "checkbox" && dirty === name;
    var start = null, end = null;
    try { start = at.selectionStart; end = at.selectionEnd; } catch (e) { start = null; }
    if (passing) { return; }
    if (wasTaken) { like(old, now); } else { old.replaceWith(document.adoptNode(now)); }
    if (!name || document.activeElement === at && at.isConnected) { return; }
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
      method: "POST", body: body, headers: { "X-Desk": "1" }, cache: "no-store", credentials: "omit", redirect: "error", keepalive: true
    }).then(function (answer) {
      return answer.text().then(function (text) {
        if (!take(text, answer.ok)) { say("Not saved: the desk does not answer as it should."); return; }
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
    clearTimeout(pause);
    queue = queue.then(function () { return send(body); });
  }
  // What is being typed and is no answer yet is kept beside the file at every pause.
  var pause = 0;
  document.addEventListener("input", function (event) {
    var one = event.target;
    dirty = one.name || "";
    clearTimeout(pause);
    if (one.form !== form || !/^[=?+]/.test(dirty) || one.type === "radio") { return; }
    pause = setTimeout(function () {
      queue = queue.then(function () {
        if (dirty !== one.name) { return null; }
        return fetch(form.dataset.typing, {
          method: "POST", body: new URLSearchParams({ name: one.name, value: one.value }), headers: { "X-Desk": "1" },
          cache: "no-store", credentials: "omit", redirect: "error", keepalive: true
        }).catch(function () { say("Not saved: the desk has ended. What was saved before is in the file."); });
      });
    }, 150);
  });
  // With the arrows somebody passes over words on the way to the one that is meant: that one is the answer.
  var byKey = false, passing = null, rest = 0;
  document.addEventListener("keydown", function () { byKey = true; }, true);
  document.addEventListener("pointerdown", function () { byKey = false; }, true);
  function rested() {
    clearTimeout(rest);
    var field = passing;
    passing = null;
    if (field && field.isConnected) { save(field); }
  }
  document.addEventListener("focusout", function (event) {
    if (passing && !passing.contains(event.relatedTarget)) { rested(); }
  });
  document.addEventListener("change", function (event) {
    var field = event.target.closest("[data-field]");
    if (!field || !form.contains(field)) { return; }
    if (event.target.type !== "radio" || !byKey) { rested(); save(field); return; }
    if (passing !== field) { rested(); }
    passing = field;
    clearTimeout(rest);
    rest = setTimeout(rested, 400);
  });
  form.addEventListener("submit", function (event) {
    event.preventDefault();
    rested();
    var by = event.submitter, body = new URLSearchParams();
    if (by && (by.name === "now" || by.name === "edge")) {
      body.append(by.name, by.value);
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
        .then(function (text) { take(text, true); })
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
