// A throw-away home with the real program, a small web server, and a phone-sized browser.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createServer } from "node:http";
import { tmpdir } from "node:os";
import { dirname, extname, join } from "node:path";
import { after, before } from "node:test";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";

const here = dirname(fileURLToPath(import.meta.url));
const target = process.env.CARGO_TARGET_DIR || join(here, "../../target");
export const program = process.env.SECONDBALL_PROGRAM || join(target, "debug/secondball");
export const now = new Date();
export const today = now.toISOString().slice(0, 10);

/** A home with one invented opponent, or the decks given. */
export class Home {
  constructor(decks = { north: readFileSync(join(here, "north.ron"), "utf8") }) {
    this.root = mkdtempSync(join(tmpdir(), "secondball-browser-"));
    this.run(["init", "--name", "Invented Player", "--hand", "right"]);
    for (const [stem, text] of Object.entries(decks)) this.write(`decks/${stem}.ron`, text);
  }

  write(file, text) {
    mkdirSync(dirname(join(this.root, "home", file)), { recursive: true });
    writeFileSync(join(this.root, "home", file), text);
  }

  run(given, input = "") {
    return execFileSync(program, ["--seed", "1", "--now", now.toISOString().replace(/\.\d+Z/, "+00:00"), ...given], {
      input,
      encoding: "utf8",
      stdio: ["pipe", "pipe", "pipe"],
      env: {
        HOME: this.root,
        TZ: "UTC",
        XDG_STATE_HOME: join(this.root, "state"),
        SECONDBALL_HOME: join(this.root, "home"),
      },
    });
  }

  /** Writes the page; gives its folder. */
  page(...given) {
    const folder = join(this.root, "page");
    this.run(["phone", "write", folder, ...given]);
    return folder;
  }

  remove() {
    rmSync(this.root, { recursive: true, force: true });
  }
}

const kinds = {
  ".html": "text/html; charset=utf-8",
  ".js": "text/javascript; charset=utf-8",
  ".webmanifest": "application/manifest+json",
};

/** Serves a folder on localhost until it is closed. */
export async function serve(folder) {
  const server = createServer((request, response) => {
    const path = new URL(request.url, "http://localhost").pathname;
    const file = path.endsWith("/") ? "index.html" : path.slice(1);
    try {
      const body = readFileSync(join(folder, file));
      response.writeHead(200, { "content-type": kinds[extname(file)] || "text/plain" });
      response.end(body);
    } catch {
      response.writeHead(404).end();
    }
  });
  await new Promise((resolve) => server.listen(0, "127.0.0.1", resolve));
  const { port } = server.address();
  return {
    url: `http://localhost:${port}/`,
    close: () =>
      new Promise((resolve) => {
        server.closeAllConnections();
        server.close(resolve);
      }),
  };
}

export const phone = {
  viewport: { width: 360, height: 740 },
  deviceScaleFactor: 2,
  isMobile: true,
  hasTouch: true,
  timezoneId: "UTC",
  locale: "en-GB",
};

export function launch() {
  return chromium.launch({
    executablePath: process.env.CHROMIUM || "/usr/bin/chromium",
    args: ["--no-sandbox", "--disable-dev-shm-usage"],
  });
}

/** Opens the page and collects everything that goes wrong on it. */
export async function open(context, url) {
  const page = await context.newPage();
  const wrong = [];
  page.on("pageerror", (error) => wrong.push(String(error)));
  page.on("console", (line) => {
    if (line.type() === "error") wrong.push(line.text());
  });
  page.on("dialog", (dialog) => {
    wrong.push(`dialog: ${dialog.message()}`);
    dialog.dismiss().catch(() => {});
  });
  await page.goto(url);
  await page.waitForSelector("html[data-ready=yes]");
  return { page, wrong };
}

/** A home with its page on a web server and a browser, for all tests of a file; `withPhone` opens the page. */
export function onThePhone() {
  const all = {};
  before(async () => {
    all.home = new Home();
    all.site = await serve(all.home.page());
    all.browser = await launch();
  });
  after(async () => {
    await all.browser?.close();
    await all.site?.close();
    all.home?.remove();
  });
  all.withPhone = async (run, options = {}, url = all.site.url) => {
    const context = await all.browser.newContext({ ...phone, ...options });
    try {
      if (options.init) await context.addInitScript(options.init);
      const { page, wrong } = await open(context, url);
      await run(page, context, wrong);
      assert.deepEqual(wrong, [], "nothing may go wrong on the page");
    } finally {
      await context.close();
    }
  };
  return all;
}
