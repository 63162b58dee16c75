// The same desk in Firefox: an answer by keyboard, the pages, the drawing, two windows, half an answer kept, nothing
// run off the side. Usage: node firefox.mjs PROGRAM [FOLDER FOR PICTURES]. FIREFOX names another program than Debian's.
import puppeteer from "puppeteer-core";
import { spawn } from "node:child_process";
import { mkdtempSync, copyFileSync, existsSync, mkdirSync, readFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, dirname } from "node:path";
import { fileURLToPath } from "node:url";
import assert from "node:assert/strict";

const root = join(dirname(fileURLToPath(import.meta.url)), "../..");
const folder = mkdtempSync(join(tmpdir(), "desk-"));
copyFileSync(join(root, "cases/clinic.yaml"), join(folder, "clinic.yaml"));
copyFileSync(join(root, "cases/routine-adult.yaml"), join(folder, "LFC-0117.yaml"));
const file = () => readFileSync(join(folder, "LFC-0117.yaml"), "utf8");
const desk = spawn(process.argv[2], ["desk", folder, "--no-open", "--today", "2026-11-25"], { stdio: ["ignore", "pipe", "inherit"] });
const url = await new Promise((resolve) => desk.stdout.once("data", (data) => resolve(String(data).trim())));
const browser = await puppeteer.launch({ browser: "firefox", executablePath: process.env.FIREFOX ?? "/usr/bin/firefox-esr", headless: true });
try {
  const context = await browser.createBrowserContext();
  const page = await context.newPage();
  await page.setViewport({ width: 1280, height: 800 });
  const until = async (what, says) => {
    for (let at = 0; at < 600; at += 1) { if (await what()) { return; } await new Promise((after) => setTimeout(after, 25)); }
    throw new Error(says);
  };
  const write = async (on, field, text) => {
    await on.focus(field);
    await on.keyboard.down("Control");
    await on.keyboard.press("a");
    await on.keyboard.up("Control");
    await on.keyboard.type(text);
  };
  const value = (on, field) => on.$eval(field, (one) => one.value);
  await page.goto(`${url}case/LFC-0117/who`);
  const sources = () => page.$$eval("#live-pages img", (all) => all.map((one) => one.getAttribute("src")).join());
  const before = await sources();
  const weight = "[name='=patient.weight']";
  await write(page, weight, "70 kg");
  await page.keyboard.press("Tab");
  await until(() => file().includes(", 70 kg,"), "the answer is written");
  await until(async () => await sources() !== before, "the pages change");
  await until(() => page.$eval("#live-pages img", (one) => one.complete && one.naturalWidth > 0), "a page is drawn");
  if (process.argv[3]) { mkdirSync(process.argv[3], { recursive: true }); await page.screenshot({ path: join(process.argv[3], "firefox-who.png") }); }
  // Another window on the same case: the drawing, and both agree.
  const second = await context.newPage();
  await second.setViewport({ width: 1280, height: 800 });
  await second.goto(`${url}case/LFC-0117/plan`);
  const edge = "button[name=edge][value='plan.R2.edges medial']";
  await second.focus(edge);
  await second.keyboard.press("Enter");
  await until(() => file().includes("R2"), "the edge is written");
  await until(() => second.$eval(edge, (one) => one.getAttribute("aria-pressed") === "true"), "the edge is shown");
  if (process.argv[3]) { await second.screenshot({ path: join(process.argv[3], "firefox-plan.png") }); }
  await second.goto(`${url}case/LFC-0117/who`);
  await write(second, weight, "68 kg");
  await second.keyboard.press("Tab");
  await until(() => file().includes(", 68 kg,"), "the other window writes");
  await until(async () => await value(page, weight) === "68 kg", "and the first one shows it");
  // Half an answer is there again when the window is opened anew.
  await write(second, "[name='=patient.daily_life']", "half a sent");
  await until(() => existsSync(join(folder, ".unguis-desk-LFC-0117.json")), "what is being typed is kept");
  await second.close();
  const again = await context.newPage();
  await again.goto(`${url}case/LFC-0117/who`);
  assert.match(await value(again, "[name='=patient.daily_life']"), /^half/);
  // 200 % zoom: half as wide.
  await again.setViewport({ width: 640, height: 400 });
  for (const section of ["", ...["who", "asked", "foot", "plan", "room", "leave", "visits", "close"].map((one) => `case/LFC-0117/${one}`)]) {
    await again.goto(`${url}${section}`);
    const over = await again.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    assert.ok(over <= 0, `${section} runs ${over} px off the side`);
  }
  console.log("Firefox: good");
} finally {
  await browser.close();
  desk.kill();
}
