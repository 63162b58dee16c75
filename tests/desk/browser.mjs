// A browser of this computer. CHROMIUM names another program than Debian's.
import { chromium } from "playwright-core";

export const chrome = () =>
  chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox", "--disable-gpu"] });
