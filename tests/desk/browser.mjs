// A browser of this computer. CHROMIUM and FIREFOX name other programs than Debian's.
import { chromium, firefox } from "playwright-core";

export const browserOf = (kind) => kind === "firefox"
  ? firefox.launch({ channel: "moz-firefox", executablePath: process.env.FIREFOX ?? "/usr/bin/firefox-esr" })
  : chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox", "--disable-gpu"] });
