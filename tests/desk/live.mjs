// How long it takes from the key that ends an answer to the changed page on the screen, drawn: a distribution.
// Then the memory of the desk over many answers, and how long the desk itself takes for one. A benchmark and no
// test: it fails only where nothing is drawn. Usage: node live.mjs PROGRAM [ANSWERS [ANSWERS WITHOUT A BROWSER]]
import { chrome } from "./browser.mjs";
import { spawn } from "node:child_process";
import { createHash } from "node:crypto";
import { request } from "node:http";
import { mkdtempSync, copyFileSync, readFileSync, readdirSync } from "node:fs";
import { loadavg, tmpdir } from "node:os";
import { join, dirname } from "node:path";
import { fileURLToPath } from "node:url";

const root = join(dirname(fileURLToPath(import.meta.url)), "../..");
const program = process.argv[2];
const answers = Number(process.argv[3] ?? 100);
const many = Number(process.argv[4] ?? 2000);
const folder = mkdtempSync(join(tmpdir(), "desk-live-"));
copyFileSync(join(root, "cases/clinic.yaml"), join(folder, "clinic.yaml"));
const CASES = { "routine": ["routine-adult.yaml", 100], "three toes": ["older-diabetes-anticoagulant.yaml", 200] };

const desk = spawn(program, ["desk", folder, "--no-open", "--today", "2026-11-25"], { stdio: ["ignore", "pipe", "inherit"] });
const url = await new Promise((resolve) => desk.stdout.once("data", (data) => resolve(String(data).trim())));
const browser = await chrome();
const memory = () => Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${desk.pid}/status`, "utf8"))[1]) / 1024;
// Processor time that a process has used, ms: says something also where the machine is busy with other things.
const stat = (pid) => { try { return readFileSync(`/proc/${pid}/stat`, "utf8").split(") ")[1].split(" "); } catch { return null; } };
const usedBy = (pid) => { const parts = stat(pid); return parts ? (Number(parts[11]) + Number(parts[12])) * 10 : 0; };
const used = () => usedBy(desk.pid);
// The same of the browser: of every process that we began, and those began, but the desk.
const usedByBrowser = () => {
  const parents = new Map(readdirSync("/proc").filter((name) => /^\d+$/.test(name)).map((name) => [Number(name), Number(stat(name)?.[1])]));
  const isOurs = (pid) => parents.get(pid) === process.pid || (parents.get(pid) > 1 && isOurs(parents.get(pid)));
  return [...parents.keys()].filter((pid) => pid !== desk.pid && isOurs(pid)).reduce((sum, pid) => sum + usedBy(pid), 0);
};
const load = () => loadavg().map((one) => one.toFixed(1)).join(" ");
// From the key to: the answer of the server, the new addresses of pictures, every changed picture in sight drawn.
const measured = async (page, field, value) => {
  await page.focus(field);
  await page.fill(field, value);
  // What was being typed is kept at the pause; then the key that ends the answer.
  await page.waitForTimeout(400);
  await page.evaluate(() => {
    globalThis.drawn = new Promise((resolve) => {
      let start = 0;
      document.addEventListener("keydown", (event) => { start = start || event.timeStamp; }, { capture: true, once: true });
      const watch = new MutationObserver(async (changes) => {
        const swapped = performance.now();
        watch.disconnect();
        const box = document.querySelector("aside").getBoundingClientRect();
        const seen = changes.map((one) => one.target).filter((one) => {
          const own = one.getBoundingClientRect();
          return own.bottom > Math.max(0, box.top) && own.top < Math.min(innerHeight, box.bottom);
        });
        await Promise.all(seen.map((one) => one.decode().catch(() => null)));
        requestAnimationFrame(() => setTimeout(() => resolve({ swapped: swapped - start, drawn: performance.now() - start, seen: seen.length, all: changes.length }), 0));
      });
      watch.observe(document.getElementById("live-pages"), { subtree: true, attributes: true, attributeFilter: ["src"] });
      setTimeout(() => resolve(null), 10000);
    });
  });
  await page.keyboard.press("Tab");
  return page.evaluate(() => globalThis.drawn);
};
const spread = (name, times, limit) => {
  const sorted = [...times].sort((one, other) => one - other);
  const at = (share) => sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * share))].toFixed(0).padStart(4);
  const within = times.filter((time) => time <= limit).length;
  console.log(`${name.padEnd(28)} least ${at(0)}  half ${at(0.5)}  90 % ${at(0.9)}  95 % ${at(0.95)}  most ${at(1)} ms; ${within} of ${times.length} within ${limit} ms`);
};
try {
  for (const [name, [file, limit]] of Object.entries(CASES)) {
    copyFileSync(join(root, "cases", file), join(folder, file));
    const reference = /^reference: (\S+)/m.exec(readFileSync(join(folder, file), "utf8"))[1];
    const page = await browser.newPage({ viewport: { width: 1280, height: 800 } });
    const drawn = [], swapped = [];
    let seen = 0, all = 0, started = 0, ofDesk = 0, ofBrowser = 0;
    const fields = [
      ["who", "=patient.weight", (at) => `${60 + at % 9} kg`],
      ["foot", "=problem.summary", (at) => `pain for ${2 + at % 7} months, one course of antibiotics`],
      ["asked", "=history.smoker", null],
      ["leave", "=operation.discharge", (at) => `well, walked out at ${10 + at % 3} o'clock with her sister`],
      ["leave", "=operation.blood_loss", (at) => `${1 + at % 5} ml`],
    ].filter(([, , value]) => value);
    for (const [at, [section, field, value]] of fields.entries()) {
      await page.goto(`${url}case/${reference}/${section}`);
      await page.waitForTimeout(1000);
      const turns = Math.ceil(answers / fields.length);
      for (let turn = 0; turn < turns + 2; turn += 1) {
        const [before, beforeOfBrowser] = [used(), usedByBrowser()];
        const found = await measured(page, `[name="${field}"]`, value(turn + at));
        await page.waitForTimeout(120);
        if (!found) { throw new Error(`${name}: ${field}: no page changed`); }
        // The first two warm up what a first answer warms up. A page on which the answer is printed is in sight then,
        // as somebody would have it.
        if (turn < 2) {
          await page.evaluate(() => document.querySelector("figure.changed").scrollIntoView());
          await page.waitForTimeout(700);
          started = memory();
          continue;
        }
        ofDesk += used() - before;
        ofBrowser += usedByBrowser() - beforeOfBrowser;
        drawn.push(found.drawn); swapped.push(found.swapped); seen += found.seen; all += found.all;
      }
    }
    spread(`${name}: address`, swapped, limit);
    spread(`${name}: drawn`, drawn, limit);
    console.log(`${name}: processor time an answer: desk ${(ofDesk / drawn.length).toFixed(0)} ms, browser ${(ofBrowser / drawn.length).toFixed(0)} ms; load of the machine ${load()}`);
    console.log(`${name}: ${(all / drawn.length).toFixed(1)} pages changed an answer, ${(seen / drawn.length).toFixed(1)} of them in sight; memory of the desk ${started.toFixed(0)} to ${memory().toFixed(0)} MiB`);
    await page.close();
  }
  const path = join(folder, "routine-adult.yaml");
  const asked = (address, options, body) => new Promise((resolve, reject) => {
    const one = request(address, options, (answer) => {
      const parts = [];
      answer.on("data", (part) => parts.push(part));
      answer.on("end", () => (answer.statusCode === 200 ? resolve(Buffer.concat(parts)) : reject(new Error(String(answer.statusCode)))));
    });
    one.on("error", reject);
    one.end(body);
  });
  // An answer, and the first of the pages that it changed.
  let known = new Set();
  const send = async (weight) => {
    const hash = createHash("sha256").update(readFileSync(path)).digest("hex");
    const body = new URLSearchParams({ hash, "=patient.weight": `${weight} kg` }).toString();
    const start = performance.now();
    const page = await asked(`${url}case/LFC-0117/who/save`, {
      method: "POST",
      headers: { "Origin": new URL(url).origin, "X-Desk": "1", "Content-Type": "application/x-www-form-urlencoded", "Content-Length": Buffer.byteLength(body) },
    }, body);
    const pictures = [...page.toString().matchAll(/<img src="([^"]+)\.svg"/g)].map((found) => found[1]);
    const changed = pictures.find((one) => !known.has(one));
    if (changed && known.size) { await asked(new URL(`${changed}-560.png`, url), {}); }
    known = new Set(pictures);
    return performance.now() - start;
  };
  const times = [], held = [];
  const began = used();
  for (let at = 0; at < many; at += 1) {
    times.push(await send(40 + at % 83));
    if ((at + 1) % Math.max(1, Math.floor(many / 8)) === 0) { held.push(memory().toFixed(0)); }
  }
  spread("the desk alone, routine", times, 100);
  console.log(`processor time of the desk: ${((used() - began) / many).toFixed(1)} ms an answer`);
  console.log(`memory over ${many} answers: ${held.join(", ")} MiB`);
} finally {
  await browser.close();
  desk.kill();
}
