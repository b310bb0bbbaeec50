// Opens web pages in a browser with no window, as on a phone and on a desk, by day and by night, and asks: does
// anything stick out to the side, is anything fetched, can it be used without eyes or mouse (axe-core)?
//
//   node look_at_page.cjs NODE_MODULES BROWSER PAGE.html...
"use strict";
const fs = require("fs");
const path = require("path");
const { pathToFileURL } = require("url");

const [modules, browser_path, ...pages] = process.argv.slice(2);
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

(async () => {
  const browser = await puppeteer.launch({ executablePath: browser_path, args: ["--no-sandbox"] });
  let failed = 0;
  let passed = 0;
  for (const file of pages)
    for (const screen of screens)
      for (const scheme of ["light", "dark"]) {
        const page = await browser.newPage();
        await page.setViewport(screen);
        await page.emulateMediaFeatures([{ name: "prefers-color-scheme", value: scheme }]);
        const fetched = [];
        page.on("request", (request) => {
          if (!/^(file|data):/.test(request.url())) fetched.push(request.url());
        });
        await page.goto(pathToFileURL(path.resolve(file)).href, { waitUntil: "load" });
        const faults = await faults_of(page, fetched);
        for (const fault of faults) console.error(`${file}, ${screen.name}, ${scheme}: ${fault}`);
        faults.length === 0 ? ++passed : ++failed;
        await page.close();
      }
  await browser.close();
  console.log(`${passed} passed, ${failed} failed`);
  process.exit(failed === 0 && passed > 0 ? 0 : 1);
})();
