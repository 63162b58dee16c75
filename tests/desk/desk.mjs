// The whole way in a browser, by keyboard alone: a case from blank to the issued pack, a caution answered, the
// letters bound, the first redressing entered. Every screen is looked at by axe-core, nothing leaves this computer,
// and what is issued is what the command line issues. Usage: node desk.mjs PROGRAM [FOLDER FOR PICTURES]
import { chrome } from "./browser.mjs";
import axe from "axe-core";
import { spawn, spawnSync } from "node:child_process";
import { mkdtempSync, copyFileSync, readFileSync, readdirSync, mkdirSync, writeFileSync } from "node:fs";
import { createHash } from "node:crypto";
import { tmpdir } from "node:os";
import { join, dirname } from "node:path";
import { fileURLToPath } from "node:url";
import assert from "node:assert/strict";

const root = join(dirname(fileURLToPath(import.meta.url)), "../..");
const program = process.argv[2];
const pictures = process.argv[3];
if (pictures) { mkdirSync(pictures, { recursive: true }); }
const folder = mkdtempSync(join(tmpdir(), "desk-"));
copyFileSync(join(root, "cases/clinic.yaml"), join(folder, "clinic.yaml"));
copyFileSync(join(root, "cases/older-diabetes-anticoagulant.yaml"), join(folder, "older.yaml"));
const TODAY = "2026-11-25";

// The routine demo case as somebody would answer it: section, place, answer. A list is added to, a box is ticked.
const ANSWERS = {
  who: [
    ["=patient.title", "Ms"], ["=patient.given", "Imogen"], ["=patient.family", "Hollis"], ["=patient.born", "1984-02-09"],
    ["=patient.sex", "female"], ["=patient.nhs_number", "999 000 0018"],
    ["+patient.address", "4 Tern Row"], ["+patient.address", "Larkmoor"], ["+patient.address", "XX4 2QD"],
    ["=patient.weight", "68 kg"], ["=patient.height", "171 cm"], ["=patient.daily_life", "office work; runs three times a week"], ["=gp", "birchgate"],
  ],
  asked: [
    ["!history.diabetes", "none"], ["+history.conditions", "asthma"], ["+history.medicines", "salbutamol"],
    ["!history.allergies", "none known"], ["=history.smoker", "false"], ["=history.pregnant", "false"],
  ],
  foot: [
    ["=problem.summary", "eight months of pain, two courses of antibiotics"], ["open", "problem.toes.L1"],
    ["*problem.toes.L1.edges", "lateral"], ["=problem.toes.L1.stage", "2"], ["=problem.toes.L1.infected", "false"], ["=problem.toes.L1.involuted", "true"],
    ["=problem.tried", "trimming and packing of the nail edge"],
    ["=vascular.brachial.right", "134"], ["=vascular.brachial.left", "130"],
    ["=vascular.right.dorsalis_pedis", "136"], ["=vascular.right.posterior_tibial", "140"], ["=vascular.right.toe", "110"], ["=vascular.right.pulses", "palpable"],
    ["=vascular.left.dorsalis_pedis", "134"], ["=vascular.left.posterior_tibial", "138"], ["=vascular.left.toe", "108"], ["=vascular.left.pulses", "palpable"],
    ["=sensation.right", "10/10"], ["=sensation.left", "10/10"],
  ],
  plan: [
    ["open", "plan.L1"], ["=plan.L1.nail", "partial"], ["*plan.L1.edges", "lateral"], ["=plan.L1.matrix", "phenol"],
    ["=consent.taken_by", "quill"], ["=consent.signed", "2026-11-20"], ["=consent.by", "patient"], ["=consent.confirmed", "2026-11-24"],
    ["+consent.alternatives", "no treatment"], ["+consent.alternatives", "conservative care"], ["+consent.alternatives", "partial avulsion without phenol"],
    ["=consent.concerns", "wants to run in January"], ["=consent.letter_to_gp", "told"], ["=consent.leaflet", "Nail surgery, before you decide"],
  ],
  room: [
    ["=operation.date", "2026-11-24"], ["=operation.start", "09:30"], ["=operation.finish", "10:20"], ["=operation.operator", "quill"],
    ["=operation.authority", "exemption"],
    ["=operation.anaesthetic.agent", "mepivacaine"], ["=operation.anaesthetic.strength", "3 %"], ["=operation.anaesthetic.batch", "M4417"], ["=operation.anaesthetic.expires", "2027-08"],
    ["=operation.phenol.strength", "89 %"], ["=operation.phenol.batch", "P203"], ["=operation.phenol.expires", "2027-03"],
    ["=operation.instruments.tray", "T-0412"], ["=operation.instruments.cycle", "2231"],
    ["=operation.checks.identity", "true"], ["=operation.checks.site_marked", "true"], ["=operation.checks.allergies", "true"], ["=operation.checks.counted", "true"], ["=operation.checks.tourniquet_off", "true"],
    ["open", "operation.toes.L1"],
    ["=operation.toes.L1.nail", "partial"], ["*operation.toes.L1.edges", "lateral"], ["=operation.toes.L1.injected", "2.2 ml"], ["=operation.toes.L1.at", "09:35"],
    ["=operation.toes.L1.tourniquet.on", "09:50"], ["=operation.toes.L1.tourniquet.off", "10:01"],
    ["=operation.toes.L1.phenol.applications", "3"], ["=operation.toes.L1.phenol.each", "60 s"],
    ["=operation.toes.L1.end_point", "tissue grey"], ["=operation.toes.L1.overspill", "none"], ["=operation.toes.L1.groove_clear", "true"],
    ["=operation.toes.L1.lavage", "saline"], ["=operation.toes.L1.refill", "4 s"],
  ],
  leave: [
    ["=operation.complications", "none"], ["=operation.urgency", "elective"], ["=operation.blood_loss", "minimal"], ["=operation.antibiotics", "none"],
    ["=operation.vte_prophylaxis", "none"], ["=operation.discharge", "well, walked out with her sister"], ["!follow_up.gp_actions", "none"],
  ],
};

const desk = spawn(program, ["desk", folder, "--no-open", "--today", TODAY], { stdio: ["ignore", "pipe", "inherit"] });
const url = await new Promise((resolve) => desk.stdout.once("data", (data) => resolve(String(data).trim())));
const browser = await chrome();
let failed = 0;
try {
  const context = await browser.newContext({ viewport: { width: 1280, height: 800 } });
  const page = await context.newPage();
  const origin = new URL(url).origin;
  const away = [];
  const errors = [];
  context.on("request", (request) => { if (!request.url().startsWith(origin)) { away.push(request.url()); } });
  page.on("pageerror", (error) => errors.push(String(error)));
  page.on("console", (message) => { if (message.type() === "error") { errors.push(message.text()); } });

  const look = async (name) => {
    await page.evaluate(axe.source);
    const found = await page.evaluate(() => globalThis.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] }));
    for (const one of found.violations) {
      failed += 1;
      console.log(`${name}: ${one.id}: ${one.help}: ${one.nodes.slice(0, 3).map((node) => node.html.slice(0, 160)).join(" | ")}`);
    }
    if (pictures) {
      await page.evaluate(() => scrollTo(0, 0));
      for (const [width, height] of [[1280, 800], [1920, 1080]]) {
        await page.setViewportSize({ width, height });
        await page.waitForTimeout(150);
        await page.screenshot({ path: join(pictures, `${name}-${width}.png`) });
      }
      await page.setViewportSize({ width: 1280, height: 800 });
      await page.emulateMedia({ forcedColors: "active" });
      await page.screenshot({ path: join(pictures, `${name}-contrast.png`) });
      await page.emulateMedia({ forcedColors: "none" });
    }
  };
  const saved = async (on = page) => {
    for (let at = 0; at < 400; at += 1) {
      const state = await on.evaluate(() => document.getElementById("state").textContent);
      if (state.startsWith("Saved")) { await on.evaluate(() => { document.getElementById("state").textContent = ""; }); return; }
      if (state.startsWith("Not saved")) { throw new Error(`${state} ${await on.textContent("#live-messages")}`); }
      await page.waitForTimeout(25);
    }
    throw new Error("nothing was saved");
  };
  // Tab after Tab until the keyboard is on what is looked for.
  const reach = async (selector) => {
    for (let at = 0; at < 700; at += 1) {
      if (await page.evaluate((wanted) => document.activeElement.matches(wanted), selector)) { return; }
      await page.keyboard.press("Tab");
    }
    throw new Error(`the keyboard does not come to ${selector}`);
  };
  const press = async (selector) => {
    await reach(selector);
    const before = page.url();
    await Promise.all([page.waitForEvent("load"), page.keyboard.press("Enter")]);
    await page.waitForLoadState();
    return before;
  };
  const answer = async (name, value) => {
    const field = `[name="${name}"]`;
    if (name === "open") { await press(`a[href$="?open=${value}#f-${value}"]`); return; }
    if (name.startsWith("*")) {
      await reach(`${field}[value="${value}"]`);
      await page.keyboard.press("Space");
    } else if (await page.locator(`${field}[type=radio]`).count() > 0) {
      await reach(field);
      for (let at = 0; at < 12; at += 1) {
        await page.keyboard.press("ArrowDown");
        if (await page.evaluate(() => document.activeElement.value) === value) { break; }
      }
    } else {
      await reach(field);
      await page.keyboard.press("Control+A");
      await page.keyboard.type(value);
      await page.keyboard.press("Tab");
    }
    await saved();
  };
  const to = (section) => press(`nav a[href$="/${section}"]`);
  const hashes = (dir) => Object.fromEntries(readdirSync(join(dir, "LFC-0117")).filter((name) => name.endsWith(".pdf")).sort()
    .map((name) => [name, createHash("sha256").update(readFileSync(join(dir, "LFC-0117", name))).digest("hex")]));
  const asTyped = () => {
    const out = join(folder, "by-hand");
    const ran = spawnSync(program, ["issue", join(folder, "LFC-0117.yaml"), "--today", TODAY, "--out", out]);
    assert.equal(ran.status, 0, String(ran.stderr));
    const issued = hashes(join(folder, "out"));
    assert.deepEqual(issued, hashes(out));
    return Object.keys(issued);
  };

  await page.goto(url);
  await look("cases");
  await reach("#reference");
  await page.keyboard.type("LFC-0117");
  await page.keyboard.press("Enter");
  await page.waitForURL("**/case/LFC-0117/who");
  await look("who-blank");
  for (const [section, answers] of Object.entries(ANSWERS)) {
    await to(section);
    for (const [name, value] of answers) { await answer(name, value); }
    if (section === "plan") { await page.evaluate(() => document.getElementById("live-pages").scrollIntoView()); assert.ok(await page.locator("#p-consent-form-1").count() === 1, "the consent form is seen"); }
    await look(section);
  }
  for (const section of ["visits", "close"]) {
    await to(section);
    await look(section);
  }
  // A caution stands in the way until somebody says why it was right to go on.
  await to("leave");
  await reach("#live-findings details summary");
  const rule = await page.evaluate(() => document.activeElement.textContent.replace("Answer ", ""));
  await page.keyboard.press("Enter");
  await reach("[name=because]");
  await page.keyboard.type("seen again at 10:15, pink and warm");
  await reach("#live-findings [name=by]");
  await page.keyboard.type("R. Quill");
  await Promise.all([page.waitForEvent("load"), page.keyboard.press("Enter")]);
  assert.match(readFileSync(join(folder, "LFC-0117.yaml"), "utf8"), new RegExp(`rule: ${rule}`));
  await look("answered");
  // What is left of the questions goes, and it is issued.
  await press("form[action$='/make/sweep'] button");
  await reach("#live-papers > details > summary");
  await page.keyboard.press("Enter");
  await press("form[action$='/make/issue'] button");
  await look("issued");
  const words = await page.textContent("#live-messages");
  assert.match(words, /Done/, words);
  assert.ok(asTyped().length >= 4);
  // The letters are bound, have gone, and the first redressing is entered.
  await press(".top a");
  await press("form[action$='/list/print'] button");
  assert.match(await page.textContent("main"), /Done/);
  await look("bound");
  await press("main a[href$='/']");
  await reach(".actions details summary");
  await page.keyboard.press("Enter");
  await reach("#gone-by");
  await page.keyboard.type("T. Ashdown");
  await page.keyboard.press("Enter");
  await page.waitForURL("**/list/gone");
  assert.match(await page.textContent("main"), /Done/);
  await press("main a[href$='/']");
  await press("tbody a[href$='/case/LFC-0117/who']");
  await to("visits");
  for (const [name, value] of [
    ["open", "visits[0]"], ["=visits[0].on", "2026-11-25"], ["=visits[0].kind", "redressing"], ["=visits[0].by", "ashdown"],
    ["open", "visits[0].toes.L1"], ["=visits[0].toes.L1.infected", "false"], ["=visits[0].toes.L1.redness", "3 mm"],
  ]) { await answer(name, value); }
  await look("visit");
  await reach("#live-papers > details > summary");
  await page.keyboard.press("Enter");
  await press("form[action$='/make/issue'] button");
  assert.match(await page.textContent("#live-messages"), /Done/);
  assert.ok(asTyped().some((name) => name.includes("visit-note")));

  await page.goto(`${url}explain/dose-over-limit`);
  await look("explain");
  // 200 % zoom: half as wide, nothing runs off the side.
  await page.setViewportSize({ width: 640, height: 400 });
  for (const section of ["", ...["who", "asked", "foot", "plan", "room", "leave", "visits", "close"].map((one) => `case/LFC-0117/${one}`)]) {
    await page.goto(`${url}${section}`);
    const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    assert.ok(over <= 0, `${section} runs ${over} px off the side`);
    if (pictures) { await page.screenshot({ path: join(pictures, `zoom-${section.split("/").pop() || "cases"}.png`), fullPage: true }); }
  }
  await page.setViewportSize({ width: 1280, height: 800 });
  // What is typed and not finished is there again when the window was closed or the desk was killed.
  await page.goto(`${url}case/LFC-0117/leave`);
  await reach("[name='=operation.findings'], [name='=operation.note']");
  const half = await page.evaluate(() => document.activeElement.name);
  await page.keyboard.type("half a sent");
  await page.waitForTimeout(600);
  const again = await context.newPage();
  await again.goto(`${url}case/LFC-0117/leave`);
  assert.equal(await again.inputValue(`[name="${half}"]`), "half a sent");
  await Promise.all([again.waitForEvent("load"), again.click("form[action$='/typing'] button")]);
  assert.equal(await again.inputValue(`[name="${half}"]`), "");
  await again.close();
  // An edge of the drawing is pressed, and off again.
  await page.goto(`${url}case/LFC-0117/plan`);
  const edge = "button[name=edge][value='plan.R2.edges medial']";
  for (const pressed of ["true", "false"]) {
    await page.click(edge);
    await saved();
    assert.equal(await page.getAttribute(edge, "aria-pressed"), pressed);
    assert.equal(readFileSync(join(folder, "LFC-0117.yaml"), "utf8").includes("R2"), pressed === "true");
  }
  // What changed comes in as many dots as are shown, with its words; at another size it comes as outlines again.
  const sharp = await (await browser.newContext({ viewport: { width: 1280, height: 800 }, deviceScaleFactor: 2 })).newPage();
  await sharp.goto(`${url}case/LFC-0117/leave`);
  await sharp.fill("[name='=operation.discharge']", "well, walked out with her brother");
  await sharp.keyboard.press("Tab");
  await saved(sharp);
  const changed = sharp.locator("figure.changed", { has: sharp.locator("pre", { hasText: "brother" }) }).first();
  const image = changed.locator("img");
  await image.scrollIntoViewIfNeeded();
  const shown = await image.evaluate(async (one) => { await one.decode(); return [(one.naturalWidth / one.clientWidth).toFixed(2), one.src.replace(/^.*\./, ""), one.alt]; });
  assert.deepEqual(shown.slice(0, 2), ["2.00", "png"]);
  assert.match(shown[2], /^Operation note, page \d of \d\. Its words stand below\.$/);
  await sharp.setViewportSize({ width: 1100, height: 800 });
  for (let at = 0; at < 200 && !(await image.getAttribute("src")).endsWith(".svg"); at += 1) { await page.waitForTimeout(25); }
  assert.ok(await image.evaluate(async (one) => { await one.decode(); return one.src.endsWith(".svg"); }));
  await Promise.all([sharp.waitForEvent("load"), sharp.click("form[action$='/undo'] button")]);
  await sharp.close();
  // The clocks of the screen run, and what a press writes is the time at which it was pressed: the desk's, whatever
  // the browser takes the time to be.
  const room = await (await browser.newContext({ viewport: { width: 1280, height: 800 } })).newPage();
  const inFile = () => readFileSync(join(folder, "LFC-0117.yaml"), "utf8");
  await room.clock.install({ time: new Date(2026, 10, 24, 10, 0) });
  await room.goto(`${url}case/LFC-0117/room`);
  await room.clock.pauseAt(new Date(2026, 10, 24, 10, 5));
  const off = "operation.toes.L1.tourniquet.off";
  const since = () => room.textContent(`[id="f-${off}"] .clock`);
  for (const [passes, says] of [[1000, "4 min 01 s ago"], [58000, "4 min 59 s ago"], [1000, "5 min 00 s ago"], [360000, "11 min 00 s ago"]]) {
    await room.clock.runFor(passes);
    await room.evaluate(() => document.dispatchEvent(new Event("pointerdown")));
    assert.equal(await since(), says);
  }
  const watch = room.locator("[data-stopwatch]").first();
  const before = inFile();
  await watch.locator("button").click();
  await room.clock.runFor(61000);
  assert.equal(await watch.locator("span").textContent(), " 61 s");
  await watch.locator("button").click();
  await room.clock.runFor(5000);
  assert.equal(await watch.locator("span").textContent(), " 61 s");
  assert.equal(inFile(), before, "the stopwatch writes nothing");
  const minute = () => new Date().toTimeString().slice(0, 5);
  const earliest = minute();
  await room.click(`button[name=now][value='${off}']`);
  await saved(room);
  const pressed = await room.inputValue(`[name="=${off}"]`);
  assert.ok([earliest, minute()].includes(pressed), `${pressed} is neither ${earliest} nor ${minute()}`);
  assert.equal(await room.getAttribute(`[id="f-${off}"] .clock`, "data-since"), pressed);
  assert.equal(inFile(), before.replace(/off: "?10:01"?/, (line) => line.replace("10:01", pressed)), "that time alone is written");
  await Promise.all([room.waitForEvent("load"), room.click("form[action$='/undo'] button")]);
  assert.equal(inFile(), before);
  // Nobody there for ten minutes: what was on the screen is gone.
  await room.clock.runFor(595000);
  assert.match(await room.textContent("body"), /Hollis/);
  await room.clock.runFor(10000);
  assert.match(await room.textContent("body"), /locked itself/);
  assert.doesNotMatch(await room.content(), /Hollis|LFC-0117/);
  await room.close();
  // A second patient in another window is marked in both.
  await page.goto(`${url}case/LFC-0117/who`);
  const second = await context.newPage();
  await second.goto(`${url}case/LFC-0124/who`);
  for (const [window, other] of [[page, "LFC-0124"], [second, "LFC-0117"]]) {
    let told = "";
    for (let at = 0; at < 200 && !told.includes(other); at += 1) {
      told = await window.evaluate(() => document.getElementById("others").textContent);
      await page.waitForTimeout(25);
    }
    assert.ok(told.includes(other), `${other} is marked: ${told}`);
  }
  // Two windows on one case agree.
  await second.goto(`${url}case/LFC-0117/who`);
  await page.fill("[name='=patient.telephone']", "01632 960 412");
  await page.keyboard.press("Tab");
  let agreed = "";
  for (let at = 0; at < 200 && agreed !== "01632 960 412"; at += 1) {
    agreed = await second.inputValue("[name='=patient.telephone']");
    await page.waitForTimeout(25);
  }
  assert.equal(agreed, "01632 960 412");
  await second.close();
  // Without a script the same is done by buttons and links.
  const bare = await (await browser.newContext({ javaScriptEnabled: false })).newPage();
  const file = () => readFileSync(join(folder, "LFC-0117.yaml"), "utf8");
  await bare.goto(`${url}case/LFC-0117/who`);
  await bare.fill("[name='=patient.telephone']", "");
  await Promise.all([bare.waitForEvent("load"), bare.click("button.main")]);
  assert.equal(await bare.inputValue("[name='=patient.telephone']"), "");
  assert.ok(!file().includes("960 412"));
  await bare.goto(`${url}case/LFC-0117/plan`);
  await Promise.all([bare.waitForEvent("load"), bare.click("button[name=edge][value='plan.R3.edges lateral']")]);
  assert.equal(await bare.getAttribute("button[name=edge][value='plan.R3.edges lateral']", "aria-pressed"), "true");
  assert.ok(await bare.isChecked("[name='*plan.R3.edges'][value=lateral]"));
  await Promise.all([bare.waitForEvent("load"), bare.click("form[action$='/undo'] button")]);
  assert.ok(!file().includes("R3"));
  await bare.goto(`${url}case/LFC-0117/asked`);
  await bare.fill("[name='+history.medicines']", "loratadine");
  await Promise.all([bare.waitForEvent("load"), bare.click("button.main")]);
  assert.match(file(), /loratadine/);
  await Promise.all([bare.waitForEvent("load"), bare.click("form[action$='/undo'] button")]);
  await bare.close();
  // A case whose every free text would act if it could: nothing runs, nothing is drawn, nothing is asked for.
  const hostile = `"'><script>globalThis.hit = 1</script><img src=x onerror="globalThis.hit = 1"><svg onload="globalThis.hit = 1">`;
  const acting = readFileSync(join(root, "tests/fixtures/routine-long.yaml"), "utf8").replace("LFC-0117", "LFC-0666")
    .replace(/^( +)(given|family|daily_life|summary|tried|concerns|discharge|end_point): .*$/gm, (all, blank, key) => `${blank}${key}: '${hostile.replaceAll("'", "''")}'`);
  assert.ok(acting.split("onerror").length > 6);
  writeFileSync(join(folder, "hostile.yaml"), acting);
  for (const section of ["", ...["who", "foot", "plan", "room", "leave"].map((one) => `case/LFC-0666/${one}`)]) {
    await page.goto(`${url}${section}`);
    await page.waitForTimeout(300);
    assert.match(await page.textContent("body"), section === "" ? /LFC-0666/ : /onerror/);
    const acted = await page.evaluate(() => [globalThis.hit, document.querySelectorAll("script").length, document.querySelectorAll("img[src='x'], svg[onload]").length]);
    assert.deepEqual(acted, [undefined, 1, 0], section);
  }
  await page.goto(url);
  // Nothing of a patient stays in the browser.
  const stored = await page.evaluate(async () => [
    localStorage.length, sessionStorage.length, document.cookie, (await indexedDB.databases()).length, (await caches.keys()).length, document.title,
  ]);
  assert.deepEqual(stored.slice(0, 5), [0, 0, "", 0, 0]);
  assert.ok(!/hollis|imogen/i.test(`${stored[5]} ${page.url()}`));
  assert.deepEqual((await context.cookies()), []);
  assert.deepEqual(away, [], "nothing leaves this computer");
  assert.deepEqual(errors, [], "the browser complains of nothing");
  assert.equal(failed, 0, `${failed} findings of axe-core`);
  console.log("the whole way: good");
} finally {
  await browser.close();
  desk.kill();
}
