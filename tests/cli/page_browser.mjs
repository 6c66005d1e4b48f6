// SPDX-License-Identifier: GPL-3.0-or-later
// A whole run of the page in a headless Chromium on a clock that is set by hand: a late pour, a reload
// in the middle, two tabs, keys, sizes, contrast, what it says to a screen reader, what it prints.
//     node page_browser.mjs POURCLOCK SOURCE-FOLDER CHROMIUM [FOLDER-FOR-PICTURES]
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { Browser } from "./browser.mjs";

const [program, source, chromium, pictures] = process.argv.slice(2);
const folder = mkdtempSync(join(tmpdir(), "pourclock-page."));
const START = 1773478800; // 09:00 UTC of a day; the browser runs in UTC too
process.env.TZ = "UTC";
const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

function writePage(name, made, edit = (text) => text) {
  const piece = join(folder, `${name}.ini`);
  const file = join(folder, `${name}-${made}.html`);
  const otter = readFileSync(join(source, "examples/otter-warm.ini"), "utf8");
  writeFileSync(piece, edit(otter.replace(/\[solid plinth\][^[]*/, ""))); // its body alone
  execFileSync(program, ["schedule", piece, "--page", file, "-o", "/dev/null"],
    { env: { ...process.env, SOURCE_DATE_EPOCH: String(START + made) } });
  return { piece, url: `file://${file}` };
}

// The clock stands still but for what the test adds; both tabs read it. Sounds and buzzes are counted.
const FAKE = `(() => {
  let now = ${START * 1000};
  Date.now = () => now;
  window.setClock = (s) => { now = ${START * 1000} + s * 1000; };
  const steady = performance.now.bind(performance);
  performance.now = () => steady() * 0 + now - ${START * 1000};
  window.heard = { tones: 0, buzzes: 0, locks: 0 };
  const tone = AudioContext.prototype.createOscillator;
  AudioContext.prototype.createOscillator = function () { heard.tones++; return tone.call(this); };
  navigator.vibrate = () => { heard.buzzes++; return true; };
  const lock = navigator.wakeLock && navigator.wakeLock.request.bind(navigator.wakeLock);
  if (lock) navigator.wakeLock.request = (kind) => { heard.locks++; return lock(kind); };
})();`;

let count = 0;
function ok(name) {
  count++;
  console.log(`ok ${name}`);
}

const text = (tab, id) => tab.value(`document.getElementById("${id}").innerText`);
const shown = (tab, id) => tab.value(`!document.getElementById("${id}").hidden`);

// Sets the clock and has the page look at it at once, as it does when it comes to the front.
async function go(tab, seconds) {
  await tab.value(`setClock(${seconds}); document.dispatchEvent(new Event("visibilitychange"))`);
}

// Waits, on a busy machine too, until an expression in the page is true; the check after it says what is not.
async function until(tab, expression) {
  for (let tries = 0; tries < 200 && !(await tab.value(expression)); tries++) await pause(50);
}

async function expectNow(tab, word, which) {
  await until(tab, `document.getElementById("word").innerText === "${word}"`);
  assert.equal(await text(tab, "word"), word);
  if (which) assert.match(await text(tab, "which"), which);
}

// Contrast of WCAG 2.1, 1.4.3: 4.5 for text, 3 for large text (24 px, or 18.66 px bold).
const CONTRAST = `(() => {
  const light = (c) => { const [r, g, b] = c.match(/[0-9.]+/g).map(Number).map((v) => (v /= 255) <= 0.03928
    ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4); return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
  const behind = (e) => { for (; e; e = e.parentElement) { const c = getComputedStyle(e).backgroundColor;
    if (!/, 0\\)$|transparent/.test(c)) return c; } return "rgb(255, 255, 255)"; };
  const bad = [];
  for (const e of document.querySelectorAll("h1, h2, p, b, td, th, li, small, button, label, #word, #count")) {
    if (!e.innerText.trim() || e.closest("[hidden], :disabled") || !e.offsetWidth) continue;
    const s = getComputedStyle(e), a = light(s.color), b = light(behind(e));
    const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05), px = parseFloat(s.fontSize);
    if (ratio < (px >= 24 || (px >= 18.66 && s.fontWeight >= 700) ? 3 : 4.5)) bad.push(e.id + e.innerText.slice(0, 20) + ratio);
  }
  return bad;
})()`;

const SMALL_BUTTONS = `[...document.querySelectorAll("button")].filter((b) => b.offsetParent &&
  (b.getBoundingClientRect().height < 72 || b.getBoundingClientRect().width < 72)).map((b) => b.innerText)`;

async function looks(tab, name) {
  for (const [width, scheme] of [[320, "light"], [320, "dark"], [1280, "light"]]) {
    await tab.size(width, width === 320 ? 640 : 900, width === 320);
    await tab.scheme(scheme);
    await pause(320);
    assert.ok(await tab.value("document.documentElement.scrollWidth <= innerWidth"), `${width} px: too wide`);
    assert.deepEqual(await tab.value(SMALL_BUTTONS), [], `${width} px: buttons under 72 px`);
    assert.deepEqual(await tab.value(CONTRAST), [], `${scheme}: low contrast`);
    if (pictures) {
      writeFileSync(join(pictures, `${name}-${width}-${scheme}.png`), await tab.picture());
      writeFileSync(join(pictures, `${name}-${width}-${scheme}-whole.png`), await tab.picture(true));
    }
  }
  ok(`${name}: fits 320 and 1280 px, light and dark`);
}

async function openTab(browser, url) {
  const tab = await browser.tab();
  await tab.before(FAKE);
  await tab.open(url);
  return tab;
}

async function firstLayer(tab) {
  await expectNow(tab, "MIX", /hollow body, layer 1/);
  assert.match(await text(tab, "masses"), /^A [0-9.]+ g \+ B [0-9.]+ g$/);
  assert.match(await text(tab, "done"), /^START/);
  await looks(tab, "ready");
  await tab.click("#done");
  await go(tab, 20);
  await expectNow(tab, "POUR", /layer 1/);
  assert.match(await text(tab, "message"), /^Saved: mix/);
  const by = await text(tab, "by");
  assert.match(by, /^all in by 09:0[0-9]:[0-9]{2}$/);
  ok("START begins the clock");

  await go(tab, 60);
  assert.match(await text(tab, "alarms"), /NOW: POUR/);
  await until(tab, "heard.tones > 0 && heard.locks > 0"); // the sound wakes in its own time
  const heard = await tab.value("heard");
  assert.ok(heard.tones > 0 && heard.buzzes > 0 && heard.locks > 0, JSON.stringify(heard));
  await tab.click("#seen");
  await go(tab, 61);
  const tones = await tab.value("heard.tones");
  await go(tab, 75);
  assert.equal(await tab.value("heard.tones"), tones);
  assert.equal(await shown(tab, "seen"), false);
  ok("an alarm beeps, buzzes, and is quiet once seen; the screen is kept on");

  await go(tab, 105);
  assert.equal(await text(tab, "by"), by);
  assert.match(await text(tab, "spoken"), /seconds to have it all in/);
  assert.match(await text(tab, "alarms"), /ALL IN BY/);
  await tab.key("d");
  await go(tab, 107);
  await expectNow(tab, "TURN", /layer 1/);
  ok("a pour 15 s late moved no deadline of its cup; key d is DONE");
}

async function reloadInTheMiddle(tab) {
  await tab.click("#done");
  await go(tab, 200);
  const before = await tab.value(`["word", "which", "steps"].map((i) => document.getElementById(i).innerText)`);
  await tab.reload();
  await go(tab, 200);
  // The browser hands its storage over in its own time; the page takes what comes.
  await until(tab, `document.getElementById("which").innerText === ${JSON.stringify(before[1])}`);
  assert.deepEqual(await tab.value(`["word", "which", "steps"].map((i) => document.getElementById(i).innerText)`), before);
  ok("a reload loses nothing");
  await looks(tab, "turning");
}

// What one tab stored reaches the other in its own time.
async function sameSteps(tab, other) {
  const wanted = await text(other, "steps");
  await until(tab, `document.getElementById("steps").innerText === ${JSON.stringify(wanted)}`);
  assert.equal(await text(tab, "steps"), await text(other, "steps"));
}

async function twoTabs(browser, tab, url) {
  const other = await openTab(browser, url);
  await go(other, 2000);
  await go(tab, 2000);
  assert.equal(await text(other, "word"), await text(tab, "word"));
  await other.click("#gelled");
  await until(tab, `document.getElementById("gelled").disabled`);
  assert.match(await text(other, "message"), /gelled .* than planned.*times the data sheet's speed/);
  assert.equal(await tab.value(`document.getElementById("gelled").disabled`), true);
  await expectNow(tab, "STOP", /layer 1/);
  await go(other, 2003);
  await go(tab, 2003);
  await tab.click("#done");
  await pause(400);
  await expectNow(other, "MIX", /layer 2/);
  // Both write at once: neither overwrites the other.
  await Promise.all([tab.value(`document.querySelector("#late-choices button").click()`),
    other.value(`document.querySelectorAll("#late-choices button")[1].click()`)]);
  const kept = `Object.keys(localStorage).filter((k) => k.includes("/event/")).length`;
  await until(tab, `${kept} === 7`);
  assert.equal(await tab.value(kept), 7);
  await sameSteps(tab, other);
  await other.click("#undo");
  await go(other, 2006);
  await other.click("#undo");
  await go(tab, 2006);
  await sameSteps(tab, other);
  await other.send("Page.close");
  ok("two tabs show one run, and both may write");
}

async function toTheEnd(tab) {
  let steps = 0;
  for (let now = 2010; steps < 40 && (await text(tab, "word")) !== "DONE"; steps++) {
    const wait = await tab.value(`(() => { const t = document.querySelector("#steps li.current b").innerText;
      const [h, m, s] = t.match(/(\\d\\d):(\\d\\d):(\\d\\d)/).slice(1).map(Number); return (h - 9) * 3600 + m * 60 + s; })()`);
    now = Math.max(now + 2, wait + 3);
    await go(tab, now);
    if (await tab.value(`getComputedStyle(document.getElementById("buttons")).display !== "none"`)) await tab.click("#done");
    await pause(100);
  }
  assert.match(await text(tab, "words"), /Everything is out of the mold/);
  assert.ok(steps > 10, `${steps} steps`);
  assert.equal(await tab.value(`document.getElementById("done").disabled`), true);
  ok("the run goes on to the last demold");
}

async function forReaders(tab) {
  const { nodes } = await tab.send("Accessibility.getFullAXTree");
  const roles = nodes.map((n) => `${n.role?.value}: ${n.name?.value ?? ""}`);
  for (const wanted of [/^heading: Otter, seated/, /^alert:/, /^status:/, /^timer:/, /^button: LATE/, /^button: UNDO/,
    /^image: From 09:00:00/, /^list:/, /^region: Now|^generic: Now|: Now$/])
    assert.ok(roles.some((r) => wanted.test(r)), String(wanted));
  assert.equal(nodes.filter((n) => n.role?.value === "button" && !n.name?.value).length, 0);
  ok("every button has a name; alarms, messages and the timer have their roles");
  await tab.value(`document.activeElement.blur(); document.body.focus()`);
  const reached = new Set();
  for (let i = 0; i < 12; i++) {
    await tab.key("Tab");
    reached.add(await tab.value("document.activeElement.id"));
  }
  assert.ok(reached.has("undo") && reached.has("check") && reached.has("try"), [...reached].join());
  ok("the keyboard reaches the buttons");
}

async function printed(tab) {
  const pdf = await tab.print();
  const file = join(pictures ?? folder, "page.pdf");
  writeFileSync(file, pdf);
  let words;
  try {
    words = execFileSync("pdftotext", ["-layout", file, "-"], { encoding: "utf8" });
  } catch (error) {
    console.log("pdftotext cannot be had here: the print is not read");
    return;
  }
  for (const wanted of [/Steps/, /Weigh/, /Exotherm/, /Demold hollow body/]) assert.match(words, wanted);
  assert.doesNotMatch(words, /THROWN AWAY|UNDO|TRY SOUND/);
  ok("it prints steps, grams and cautions, and no buttons");
}

async function olderPages(browser) {
  const first = writePage("otter", 60);
  const tab = await openTab(browser, first.url);
  assert.equal(await shown(tab, "stale"), false);
  const { root } = await tab.send("DOM.getDocument");
  const { nodeId } = await tab.send("DOM.querySelector", { nodeId: root.nodeId, selector: "#check" });
  const choose = () => tab.send("DOM.setFileInputFiles", { nodeId, files: [first.piece] });
  await choose();
  await until(tab, `document.getElementById("checked").innerText !== ""`);
  assert.match(await text(tab, "checked"), /^The same/);
  const second = writePage("otter", 120, (ini) => ini.replace("wall = 3/16 in", "wall = 1/4 in"));
  await choose();
  await until(tab, `!document.getElementById("stale").hidden`);
  assert.match(await text(tab, "stale"), /^OLD PAGE: otter.ini has changed since/);
  const newer = await openTab(browser, second.url);
  assert.equal(await shown(newer, "stale"), false);
  await tab.reload();
  assert.match(await text(tab, "stale"), /^OLD PAGE: a newer page of this piece was made/);
  ok("a page older than the piece file says so");
}

async function badCases(browser) {
  const full = await browser.tab();
  await full.before(`${FAKE} Storage.prototype.setItem = () => { throw new Error("full"); };`);
  await full.open(writePage("full", 0, (ini) => ini.replace("Otter, seated", "Otter, full")).url);
  await full.click("#done");
  await go(full, 5);
  assert.match(await text(full, "alarms"), /NOT SAVED/);
  await expectNow(full, "POUR");
  ok("a browser that keeps nothing: it says so and runs on");

  const wild = writePage("wild", 0, (ini) => ini.replace("name = Otter, seated",
    "name = </script><script>window.pwned=1</script><img src=x onerror=\"pwned=1\"> & otter")
    .replace("[hollow body]", "[hollow <b>body</b>]"));
  const tab = await openTab(browser, wild.url);
  assert.match(await text(tab, "piece"), /<\/script><script>window.pwned=1<\/script><img/);
  assert.equal(await tab.value("typeof window.pwned"), "undefined");
  assert.equal(await tab.value(`document.querySelectorAll("img, #which b, #weigh b b").length`), 0);
  const before = tab.complaints.length;
  await tab.value(`document.body.insertAdjacentHTML("beforeend", "<img src=x onerror=window.pwned=1>")`);
  await pause(300);
  assert.equal(await tab.value("typeof window.pwned"), "undefined");
  assert.ok(tab.complaints.slice(before).some((c) => c.includes("Content Security Policy")));
  ok("names with markup are text, and the policy lets nothing else run or load");

  const impossible = join(folder, "impossible.html");
  try {
    execFileSync(program, ["schedule", join(source, "examples/otter-impossible.ini"), "--page", impossible]);
  } catch (error) {
    assert.equal(error.status, 1);
  }
  const stop = await openTab(browser, `file://${impossible}`);
  assert.match(await text(stop, "message"), /DO NOT POUR/);
  assert.equal(await stop.value(`document.getElementById("done").disabled`), true);
  assert.match(await text(stop, "warnings"), /LIMIT/);
  ok("a plan that meets no limit cannot be started");
}

const browser = new Browser(chromium);
try {
  const { url } = writePage("otter", 0);
  const tab = await openTab(browser, url);
  await firstLayer(tab);
  await reloadInTheMiddle(tab);
  await twoTabs(browser, tab, url);
  await toTheEnd(tab);
  await forReaders(tab);
  await printed(tab);
  assert.deepEqual(tab.complaints, []);
  assert.deepEqual([...new Set(tab.requests.filter((r) => !r.startsWith("file:")))], []);
  ok("no complaint, no request to any network");
  await olderPages(browser);
  await badCases(browser);
  console.log(`${count} passed, 0 failed`);
} finally {
  await browser.close();
  rmSync(folder, { recursive: true, force: true });
}
