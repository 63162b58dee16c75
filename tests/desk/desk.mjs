// The whole way in a browser: a case from blank to issue, every screen looked at by axe-core, no request that
// leaves this computer. Usage: node desk.mjs PROGRAM [FOLDER FOR PICTURES]
import { chromium } from "playwright-core";
import axe from "axe-core";
import { spawn, spawnSync } from "node:child_process";
import { mkdtempSync, copyFileSync, readFileSync, readdirSync, mkdirSync } from "node:fs";
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
    ["=operation.toes.L1.lavage", "saline"], ["=operation.toes.L1.refill", "2 s"],
  ],
  leave: [
    ["=operation.complications", "none"], ["=operation.urgency", "elective"], ["=operation.blood_loss", "minimal"], ["=operation.antibiotics", "none"],
    ["=operation.vte_prophylaxis", "none"], ["=operation.discharge", "well, walked out with her sister"], ["!follow_up.gp_actions", "none"],
  ],
};

const desk = spawn(program, ["desk", folder, "--no-open", "--today", TODAY], { stdio: ["ignore", "pipe", "inherit"] });
const url = await new Promise((resolve) => desk.stdout.once("data", (data) => resolve(String(data).trim())));
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox", "--disable-gpu"] });
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
      for (const [width, height] of [[1280, 800], [1920, 1080]]) {
        await page.setViewportSize({ width, height });
        await page.screenshot({ path: join(pictures, `${name}-${width}.png`) });
      }
      await page.setViewportSize({ width: 1280, height: 800 });
    }
  };
  const saved = async () => {
    for (let at = 0; at < 400; at += 1) {
      const state = await page.evaluate(() => document.getElementById("state").textContent);
      if (state.startsWith("Saved")) { await page.evaluate(() => { document.getElementById("state").textContent = ""; }); return; }
      if (state.startsWith("Not saved")) { throw new Error(`${state} ${await page.textContent("#live-messages")}`); }
      await page.waitForTimeout(25);
    }
    throw new Error("nothing was saved");
  };

  await page.goto(url);
  await look("cases");
  // By keyboard alone.
  await page.focus("#reference");
  await page.keyboard.type("LFC-0117");
  await page.keyboard.press("Enter");
  await page.waitForURL("**/case/LFC-0117/who");
  await look("who-blank");
  for (const [section, answers] of Object.entries(ANSWERS)) {
    await page.goto(`${url}case/LFC-0117/${section}`);
    for (const [name, value] of answers) {
      if (name === "open") {
        await page.click(`a[href$="?open=${value}#f-${value}"]`);
        continue;
      }
      const field = `[name="${name}"]`;
      if (name.startsWith("*")) {
        await page.check(`${field}[value="${value}"]`);
      } else if (await page.locator(`${field}[type=radio]`).count() > 0) {
        await page.check(`${field}[value="${value}"]`);
      } else {
        await page.focus(field);
        await page.fill(field, value);
        await page.keyboard.press("Tab");
      }
      await saved();
    }
    await look(section);
  }
  for (const section of ["visits", "close"]) {
    await page.goto(`${url}case/LFC-0117/${section}`);
    await look(section);
  }
  await page.goto(`${url}explain/dose-over-limit`);
  await look("explain");
  // 200 % zoom: half as wide, nothing runs off the side.
  await page.setViewportSize({ width: 640, height: 400 });
  for (const section of ["who", "room"]) {
    await page.goto(`${url}case/LFC-0117/${section}`);
    const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    assert.ok(over <= 0, `${section} runs ${over} px off the side`);
  }
  await page.setViewportSize({ width: 1280, height: 800 });
  // What is left of the questions goes, and it is issued.
  await page.goto(`${url}case/LFC-0117/close`);
  await page.click("text=Take the unanswered lines out of the file");
  await page.waitForLoadState();
  await page.click("summary:text-is('Issue')");
  await page.click("text=Issue what is not held back");
  await page.waitForLoadState();
  await look("issued");
  const words = await page.textContent("#live-messages");
  assert.match(words, /Done/, words);
  const out = join(folder, "by-hand");
  const ran = spawnSync(program, ["issue", join(folder, "LFC-0117.yaml"), "--today", TODAY, "--out", out]);
  assert.equal(ran.status, 0, String(ran.stderr));
  const hashes = (dir) => Object.fromEntries(readdirSync(join(dir, "LFC-0117")).filter((name) => name.endsWith(".pdf")).sort()
    .map((name) => [name, createHash("sha256").update(readFileSync(join(dir, "LFC-0117", name))).digest("hex")]));
  assert.deepEqual(hashes(join(folder, "out")), hashes(out));
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
  // Without a script the same is done by a button.
  const bare = await (await browser.newContext({ javaScriptEnabled: false })).newPage();
  await bare.goto(`${url}case/LFC-0117/who`);
  await bare.fill("[name='=patient.telephone']", "");
  await bare.click("button.main");
  assert.equal(await bare.inputValue("[name='=patient.telephone']"), "");
  assert.ok(!readFileSync(join(folder, "LFC-0117.yaml"), "utf8").includes("960 412"));
  await bare.close();
  // How long a change takes from the key to the changed page, as a note and no test.
  await page.goto(`${url}case/LFC-0117/who`);
  const times = [];
  for (const weight of ["69 kg", "70 kg", "71 kg", "72 kg", "68 kg"]) {
    const before = await page.evaluate(() => [...document.querySelectorAll("#live-pages img")].map((one) => one.src).join());
    await page.fill("[name='=patient.weight']", weight);
    const start = Date.now();
    await page.keyboard.press("Tab");
    for (;;) {
      const now = await page.evaluate(() => [...document.querySelectorAll("#live-pages img")].map((one) => one.src).join());
      if (now !== before) { break; }
      await page.waitForTimeout(10);
    }
    times.push(Date.now() - start);
    await saved();
  }
  console.log(`from the key to the changed page: ${times.join(", ")} ms`);
  assert.deepEqual(away, [], "nothing leaves this computer");
  assert.deepEqual(errors, [], "the browser complains of nothing");
  assert.equal(failed, 0, `${failed} findings of axe-core`);
  console.log("the whole way: good");
} finally {
  await browser.close();
  desk.kill();
}
