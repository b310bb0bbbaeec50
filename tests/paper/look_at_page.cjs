// Opens web pages in a browser with no window, as on a phone and on a desk, by day and by night, and asks: does
// anything stick out to the side, is anything fetched, can it be used without eyes or mouse (axe-core)?
//
//   node look_at_page.cjs NODE_MODULES BROWSER PHASEWRIGHT MODELS
"use strict";
const { execFileSync } = require("child_process");
const fs = require("fs");
const os = require("os");
const path = require("path");
const { pathToFileURL } = require("url");

const [modules, browser_path, program, models] = process.argv.slice(2);
const puppeteer = require(path.join(modules, "puppeteer-core"));
const axe = fs.readFileSync(path.join(modules, "axe-core", "axe.min.js"), "utf8");

const screens = [
  { name: "phone", width: 360, height: 740, isMobile: true, deviceScaleFactor: 2 },
  { name: "desk", width: 1280, height: 900 },
];

async function faults_of(page, fetched) {
  const faults = fetched.map((url) => `fetches ${url}`);
  const sticking_out = await page.evaluate(() =>
    [...document.querySelectorAll("body *")]
      .filter((element) => {
        const box = element.getBoundingClientRect();
        // What is for screen readers only is cut to nothing on purpose.
        const hidden = element.closest("thead") && getComputedStyle(element.closest("thead")).position === "absolute";
        return !hidden && box.width > 0 && box.right > document.documentElement.clientWidth + 0.5;
      })
      .map((element) => `<${element.tagName.toLowerCase()}> "${element.textContent.slice(0, 40)}"`));
  for (const what of sticking_out) faults.push(`sticks out: ${what}`);
  if (await page.evaluate(() => document.documentElement.scrollWidth > document.documentElement.clientWidth))
    faults.push("scrolls sideways");
  await page.evaluate(axe);
  const found = await page.evaluate(() => window.axe.run());
  if (found.passes.length < 10) faults.push(`axe-core looked at ${found.passes.length} rules only`);
  for (const violation of found.violations)
    for (const node of violation.nodes) faults.push(`${violation.id}: ${violation.help}: ${node.html.slice(0, 120)}`);
  return faults;
}

// The sheet of every engine and build, and of titles that a page may break on.
function make_pages(folder) {
  const sheets = fs.readdirSync(models).filter((name) => name.endsWith(".toml"))
    .map((name) => ({ name, options: [path.join(models, name)] }));
  const titles = ["m".repeat(160), "Κινητήρας Μάρραμ, мотор № 14, מנוע"];
  for (const [i, title] of titles.entries())
    sheets.push({ name: `title ${i + 1}`, options: ["--set", `title="${title}"`] });
  sheets.push({ name: "recorded", options: ["--record", "--units", "thou"] });
  return sheets.map(({ name, options }, i) => {
    const file = path.join(folder, `sheet-${i}.html`);
    try {
      execFileSync(program, ["sheet", ...options, "-o", file], { stdio: ["ignore", "ignore", "inherit"] });
    } catch (fault) {
      if (fault.status !== 1) throw fault; // 1 = not safe, and printed all the same
    }
    return { name, file };
  });
}

// What each look must find.
const spoiled = [
  ["sticks out", '<div style="width: 3000px">wide</div>'],
  ["fetches", '<img src="http://127.0.0.1:9/none.png" alt="none">'],
  ["image-alt", '<img src="data:image/gif;base64,R0lGODlhAQABAAAAACH5BAEKAAEALAAAAAABAAEAAAICTAEAOw==">'],
  ["color-contrast", '<p style="color: #999; background: #aaa">pale</p>'],
];

async function look(browser, file, screen, scheme) {
  const page = await browser.newPage();
  await page.setViewport(screen);
  await page.emulateMediaFeatures([{ name: "prefers-color-scheme", value: scheme }]);
  const fetched = [];
  page.on("request", (request) => {
    if (!/^(file|data):/.test(request.url())) fetched.push(request.url());
  });
  await page.goto(pathToFileURL(file).href, { waitUntil: "load" });
  const faults = await faults_of(page, fetched);
  await page.close();
  return faults;
}

(async () => {
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), "phasewright-pages-"));
  const browser = await puppeteer.launch({ executablePath: browser_path, args: ["--no-sandbox"] });
  let failed = 0;
  let passed = 0;
  const judge = (good, words) => {
    good ? ++passed : ++failed;
    if (!good) console.error(words);
  };
  try {
    const pages = make_pages(folder);
    for (const { name, file } of pages)
      for (const screen of screens)
        for (const scheme of ["light", "dark"]) {
          const faults = await look(browser, file, screen, scheme);
          judge(faults.length === 0, `${name}, ${screen.name}, ${scheme}:\n  ${faults.join("\n  ")}`);
        }
    for (const [what, html] of spoiled) {
      const file = path.join(folder, "spoiled.html");
      fs.writeFileSync(file, fs.readFileSync(pages[0].file, "utf8").replace("</main>", `${html}</main>`));
      const faults = await look(browser, file, screens[0], "light");
      judge(faults.some((fault) => fault.includes(what)), `spoiled on purpose, and not found: ${what}`);
    }
  } finally {
    await browser.close();
    fs.rmSync(folder, { recursive: true });
  }
  console.log(`${passed} passed, ${failed} failed`);
  process.exit(failed === 0 && passed > 0 ? 0 : 1);
})();
