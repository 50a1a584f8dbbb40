// Opens pages in headless Chromium, from disk and over HTTP on loopback, and checks
// what a reader would notice: errors, a video that plays, steps of one frame, jumps
// that land, widths of a phone and of a desktop, one sheet of paper, and what
// axe-core calls serious. Run by look.sh.
"use strict";
const fs = require("node:fs");
const http = require("node:http");
const path = require("node:path");
const url = require("node:url");
const { chromium } = require("playwright-core");
const axe = fs.readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");

const args = process.argv.slice(2);
let shots = "";
if (args[0] === "--shots") shots = args.splice(0, 2)[1];
if (args.length === 0) throw new Error("look.cjs wants pages");

const types = { ".html": "text/html; charset=utf-8", ".mp4": "video/mp4", ".png": "image/png", ".svg": "image/svg+xml", ".vtt": "text/vtt; charset=utf-8" };

// serve answers with the files of a folder, in parts too: a video is sought by them.
function serve(root) {
  const server = http.createServer((req, res) => {
    const file = path.join(root, path.normalize(decodeURIComponent(new URL(req.url, "http://x").pathname)));
    if (req.url === "/favicon.ico") return void res.writeHead(204).end();
    if (!file.startsWith(root + path.sep) || !fs.existsSync(file)) return void res.writeHead(404).end();
    const size = fs.statSync(file).size;
    const head = { "Content-Type": types[path.extname(file)] || "application/octet-stream", "Accept-Ranges": "bytes" };
    const part = /^bytes=(\d+)-(\d*)$/.exec(req.headers.range || "");
    if (!part) {
      res.writeHead(200, { ...head, "Content-Length": size });
      return void fs.createReadStream(file).pipe(res);
    }
    const from = Number(part[1]), to = part[2] ? Math.min(Number(part[2]), size - 1) : size - 1;
    if (from > to) return void res.writeHead(416, { "Content-Range": `bytes */${size}` }).end();
    res.writeHead(206, { ...head, "Content-Length": to - from + 1, "Content-Range": `bytes ${from}-${to}/${size}` });
    fs.createReadStream(file, { start: from, end: to }).pipe(res);
  });
  return new Promise((done) => server.listen(0, "127.0.0.1", () => done(server)));
}

let faults = 0, checks = 0;
function check(ok, where, what) {
  checks++;
  if (ok) return;
  faults++;
  console.log(`FAILED ${where}: ${what}`);
}

// In the page: does something, and gives the number of the frame that is then shown.
async function frameAfter(page, action) {
  await page.evaluate(() => {
    const video = document.querySelector("video");
    const fps = Number(video.closest(".player").dataset.fps);
    window.shownFrame = new Promise((done) => {
      video.requestVideoFrameCallback((_, meta) => done(Math.round(meta.mediaTime * fps)));
    });
  });
  await action();
  return page.evaluate(() => Promise.race([window.shownFrame, new Promise((done) => setTimeout(done, 5000, "no new frame"))]));
}

async function watch(page, where, folder) {
  const video = page.locator("video");
  const ready = await page.evaluate(async () => {
    const v = document.querySelector("video");
    if (v.readyState < 2) await Promise.race([new Promise((done) => v.addEventListener("loadeddata", done)), new Promise((done) => setTimeout(done, 10000))]);
    return v.readyState;
  });
  check(ready >= 2, where, "the video does not load");
  if (ready < 2) return;
  const size = await page.evaluate(() => { const v = document.querySelector("video"); return [v.videoWidth, v.videoHeight, Number(v.getAttribute("width")), Number(v.getAttribute("height")), v.duration, Number(v.closest(".player").dataset.frames) / Number(v.closest(".player").dataset.fps)]; });
  check(size[0] === size[2] && size[1] === size[3], where, `the page says ${size[2]} × ${size[3]}, the video is ${size[0]} × ${size[1]}`);
  check(Math.abs(size[4] - size[5]) < 0.05, where, `the page says ${size[5]} s of video, it has ${size[4]} s`);

  await page.locator("[data-toggle]").click();
  const moved = await page.waitForFunction(() => document.querySelector("video").currentTime > 0.3, null, { timeout: 15000 }).then(() => true, () => false);
  check(moved, where, "the video does not play");
  await page.locator("[data-toggle]").click();

  const jumps = page.locator("button[data-frame]");
  const count = await jumps.count();
  check(count >= 3, where, `${count} places to jump to`);
  const frames = [];
  for (let i = 0; i < count; i++) {
    const want = Number(await jumps.nth(i).getAttribute("data-frame"));
    frames.push(want);
    // Away first: to go where one is shows no new frame.
    await frameAfter(page, () => page.evaluate((away) => { document.querySelector("video").currentTime = away; }, i % 2 ? 0.01 : 0.5));
    const got = await frameAfter(page, () => jumps.nth(i).click());
    check(got === want, where, `jump to "${await jumps.nth(i).innerText()}" shows frame ${got}, want ${want}`);
  }
  const captions = path.join(folder, "captions.vtt");
  if (fs.existsSync(captions)) {
    const starts = [...fs.readFileSync(captions, "utf8").matchAll(/^(\d+):(\d+):([\d.]+) -->/gm)].map((m) => Number(m[1]) * 3600 + Number(m[2]) * 60 + Number(m[3]));
    const fps = Number(await page.locator(".player").getAttribute("data-fps"));
    check(starts.length === frames.length && starts.every((s, i) => Math.abs(s - frames[i] / fps) < 0.001), where, `captions start at ${starts}, jumps go to ${frames.map((f) => f / fps)}`);
  }
  const cues = await page.evaluate(async () => {
    const t = document.querySelector("track");
    t.track.mode = "hidden";
    if (t.readyState < 2) await Promise.race([new Promise((done) => { t.onload = done; t.onerror = done; }), new Promise((done) => setTimeout(done, 5000))]);
    const n = t.track.cues ? t.track.cues.length : 0;
    t.track.mode = "disabled";
    return n;
  });
  check(cues >= 2, where, `${cues} captions are loaded`);

  const base = await frameAfter(page, () => page.evaluate(() => { document.querySelector("video").currentTime = 1.0167; }));
  for (const [name, step, act] of [
    ["forward button", 1, () => page.locator('[data-step="1"]').click()],
    ["back button", 0, () => page.locator('[data-step="-1"]').click()],
    ["right arrow", 1, async () => { await video.focus(); await page.keyboard.press("ArrowRight"); }],
    ["right arrow again", 2, () => page.keyboard.press("ArrowRight")],
    ["left arrow", 1, () => page.keyboard.press("ArrowLeft")],
  ]) {
    const got = await frameAfter(page, act);
    check(got === base + step, where, `${name}: frame ${got}, want ${base + step}`);
  }
  await page.locator("[data-speed]").selectOption("0.5");
  check(await page.evaluate(() => document.querySelector("video").playbackRate) === 0.5, where, "the choice of speed does nothing");
  await page.locator("[data-speed]").selectOption("1");
}

// What a text from outside may have brought in.
function strangers() {
  const out = [];
  for (const e of document.querySelectorAll("*")) {
    const name = e.localName;
    if (["iframe", "object", "embed", "form", "input", "base", "link", "a"].includes(name)) out.push(name);
    for (const a of e.attributes) if (/^on|^style$/.test(a.name)) out.push(`${name} ${a.name}`);
    if (name === "img" && !/^\.\/stills\//.test(e.getAttribute("src"))) out.push(`img ${e.getAttribute("src")}`);
  }
  const scripts = document.querySelectorAll("script");
  if (scripts.length !== 1 || scripts[0].src) out.push(`${scripts.length} scripts`);
  return out;
}

async function look(browser, address, where, folder, name, whole) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 800 }, reducedMotion: "reduce" });
  const page = await context.newPage();
  page.on("console", (m) => { if (["error", "warning"].includes(m.type())) check(false, where, `console: ${m.text()}`); });
  page.on("pageerror", (e) => check(false, where, `script: ${e.message}`));
  page.on("dialog", (d) => { check(false, where, `dialog: ${d.message()}`); return d.dismiss(); });
  page.on("requestfailed", (r) => { if (!/\.mp4$/.test(r.url())) check(false, where, `not loaded: ${r.url().slice(0, 200)}`); });
  page.on("request", (r) => {
    const same = r.url().startsWith("data:") || r.url().startsWith(address.replace(/[^/]*$/, ""));
    check(same, where, `asks for ${r.url()}`);
  });
  await page.goto(address);
  const title = await page.title();
  const odd = await page.evaluate(strangers);
  check(odd.length === 0, where, `the page holds ${odd.join(", ")}`);
  const blank = await page.evaluate(async () => {
    const bad = [];
    for (const i of document.images) { try { await i.decode(); } catch { bad.push(i.src); } }
    return bad;
  });
  check(blank.length === 0, where, `pictures that do not show: ${blank.join(", ")}`);
  if (await page.locator("video").count()) await watch(page, where, folder);

  for (const open of whole ? [false, true] : []) {
    await page.evaluate((o) => { for (const d of document.querySelectorAll("details")) d.open = o; }, open);
    for (const width of [360, 1280]) {
      await page.setViewportSize({ width, height: 800 });
      const wide = await page.evaluate(() => {
        const root = document.documentElement, out = [];
        for (const e of document.querySelectorAll("body *")) {
          if (e.closest("svg svg") || e.closest("thead")) continue;
          const r = e.getBoundingClientRect();
          if (r.width > 0 && r.right > root.clientWidth + 1) out.push(`${e.localName}.${e.getAttribute("class")} to ${Math.round(r.right)}`);
        }
        return root.scrollWidth > root.clientWidth ? [`scrolls to ${root.scrollWidth}`, ...out.slice(0, 5)] : [];
      });
      check(wide.length === 0, where, `at ${width} px: ${wide.join("; ")}`);
      await page.evaluate(axe);
      const found = await page.evaluate(() => window.axe.run(document, { resultTypes: ["violations"] }));
      check(found.testEngine.name === "axe-core" && Array.isArray(found.violations), where, "axe-core did not run");
      for (const v of found.violations.filter((v) => ["serious", "critical"].includes(v.impact))) {
        check(false, where, `at ${width} px, ${v.impact}: ${v.id}, ${v.help}: ${v.nodes.map((n) => n.target.join(" ")).slice(0, 4).join(", ")}`);
      }
      if (shots) await page.screenshot({ path: path.join(shots, `${name}-${width}${open ? "-open" : ""}.png`), fullPage: true });
    }
  }
  await page.evaluate(() => { for (const d of document.querySelectorAll("details")) d.open = false; });
  // A report of one swing prints on one sheet.
  const single = name.endsWith("-report") && await page.evaluate(() => document.querySelectorAll("section.swing .tiles").length === 1);
  for (const format of whole ? ["A4", "Letter"] : []) {
    const pdf = await page.pdf({ format, preferCSSPageSize: false });
    const sheets = (pdf.toString("latin1").match(/\/Type\s*\/Page(?![a-zA-Z])/g) || []).length;
    check(single ? sheets === 1 : sheets > 0, where, `prints on ${sheets} sheets of ${format}`);
    if (shots) fs.writeFileSync(path.join(shots, `${name}-${format}.pdf`), pdf);
  }
  if (whole && shots) {
    // The top of the page, small, after the last jump.
    await page.setViewportSize({ width: 900, height: 1480 });
    const jumps = page.locator("button[data-frame]");
    if (await jumps.count()) await frameAfter(page, () => jumps.last().click());
    await page.evaluate(() => { document.activeElement.blur(); scrollTo(0, 0); });
    await page.mouse.move(0, 0);
    await page.waitForTimeout(4000); // the video's own controls fade
    await page.screenshot({ path: path.join(shots, `${name}-top.png`) });
    await page.emulateMedia({ media: "print" });
    await page.setViewportSize({ width: 718, height: 1047 }); // A4 less its margins, at 96 px an inch
    await page.screenshot({ path: path.join(shots, `${name}-print.png`), fullPage: true });
  }
  check(await page.title() === title && await page.evaluate(() => document.title.length > 5 && document.title !== "1"), where, "the title was changed");
  await context.close();
}

(async () => {
  const options = { executablePath: process.env.CHROMIUM || "/usr/bin/chromium", args: ["--autoplay-policy=no-user-gesture-required"] };
  if (process.getuid && process.getuid() === 0) options.args.push("--no-sandbox");
  const browser = await chromium.launch(options);
  for (const arg of args) {
    const file = path.resolve(arg), folder = path.dirname(file);
    const name = `${path.basename(folder)}-${path.basename(file, ".html")}`;
    await look(browser, url.pathToFileURL(file).href, `${name} from disk`, folder, name, true);
    const server = await serve(folder);
    // What a page looks like does not hang on where it comes from.
    await look(browser, `http://127.0.0.1:${server.address().port}/${path.basename(file)}`, `${name} over HTTP`, folder, name, false);
    server.close();
  }
  await browser.close();
  console.log(`looked at ${args.length} pages: ${checks} checks, ${faults} faults`);
  process.exitCode = faults ? 1 : 0;
})().catch((e) => { console.error(e); process.exit(1); });
