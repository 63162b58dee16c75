// The same desk in Firefox: an answer, the drawing, the pages, two windows, no script. Usage: node firefox.mjs PROGRAM
import { browserOf } from "./browser.mjs";
import { spawn } from "node:child_process";
import { mkdtempSync, copyFileSync, readFileSync } from "node:fs";
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
const browser = await browserOf("firefox");
try {
  const page = await browser.newPage();
  const until = async (what, says) => {
    for (let at = 0; at < 200; at += 1) { if (await what()) { return; } await page.waitForTimeout(25); }
    throw new Error(says);
  };
  await page.goto(`${url}case/LFC-0117/who`);
  const sources = () => page.evaluate(() => [...document.querySelectorAll("#live-pages img")].map((one) => one.getAttribute("src")).join());
  const before = await sources();
  await page.fill("[name='=patient.weight']", "70 kg");
  await page.keyboard.press("Tab");
  await until(() => file().includes("70 kg"), "the answer is written");
  await until(async () => await sources() !== before, "the pages change");
  await until(() => page.evaluate(() => document.querySelector("#live-pages img").naturalWidth > 0), "a page is drawn");
  const second = await page.context().newPage();
  await second.goto(`${url}case/LFC-0117/plan`);
  const edge = "button[name=edge][value='plan.R2.edges medial']";
  await second.click(edge);
  await until(() => file().includes("R2"), "the edge is written");
  await until(async () => await second.getAttribute(edge, "aria-pressed") === "true", "the edge is shown");
  await second.click("form[action$='/undo'] button");
  await until(() => !file().includes("R2"), "and taken back");
  await page.fill("[name='=patient.weight']", "68 kg");
  await page.keyboard.press("Tab");
  await until(() => file().includes("68 kg"), "the other window still writes");
  console.log("Firefox: good");
} finally {
  await browser.close();
  desk.kill();
}
