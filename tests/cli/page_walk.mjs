// SPDX-License-Identifier: GPL-3.0-or-later
// Every time of day the page writes, anywhere, is on the clock of the work in hand: castings begun
// earlier and later than planned, across midnight, where summer time begins and ends, with late hands.
//     node page_walk.mjs POURCLOCK SOURCE-FOLDER CHROMIUM
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { Browser } from "./browser.mjs";

const [program, source, chromium] = process.argv.slice(2);
const folder = mkdtempSync(join(tmpdir(), "pourclock-walk."));
const rules = new Function(`${readFileSync(join(source, "cli/draw/page/rules.js"), "utf8")}; return rules;`)();
const dataOf = (html) => JSON.parse(/<script type="application\/json" id="plan">([^]*?)<\/script>/.exec(html)[1]);

// Coats of polyester on cooled ones in a room that is stated: warnings and cautions name times too.
const polyester = (ini) => ini.replace("fast-urethane", "polyester")
  .replace("[shop]", "[shop]\nroom = 40 m3\nventilation = 60 m3/h\nleast_layer_wait = 40 min");

function writePage(name, edit) {
  const piece = join(folder, `${name}.ini`);
  const file = join(folder, `${name}.html`);
  writeFileSync(piece, edit(readFileSync(join(source, "examples/otter-warm.ini"), "utf8")));
  try {
    execFileSync(program, ["schedule", piece, "--page", file, "-o", "/dev/null"], { env: { ...process.env, TZ: "UTC" } });
  } catch (error) {
    if (error.status !== 1) throw error;
  }
  return { url: `file://${file}`, data: dataOf(readFileSync(file, "utf8")) };
}

const fake = (wall) => `(() => {
  let now = ${wall * 1000};
  Date.now = () => now;
  window.setClock = (s) => { now = ${wall * 1000} + s * 1000; };
})();`;

// What a clock on the wall of a zone shows at a moment, and its day's number.
function wallClock(zone, ms) {
  const parts = Object.fromEntries(new Intl.DateTimeFormat("en-GB", { timeZone: zone, hourCycle: "h23", year: "numeric",
    month: "2-digit", day: "2-digit", hour: "2-digit", minute: "2-digit", second: "2-digit" })
    .formatToParts(new Date(ms)).map((p) => [p.type, p.value]));
  return { text: `${parts.hour}:${parts.minute}:${parts.second}`,
    day: Date.UTC(parts.year, parts.month - 1, parts.day) / 86400000,
    second: Number(parts.hour) * 3600 + Number(parts.minute) * 60 + Number(parts.second) };
}

// Every text the page may write of these moments: the second before and after.
function writings(zone, first_ms, moments) {
  const list = new Set();
  const from = wallClock(zone, first_ms).day;
  for (const at of moments)
    for (const second of [-1, 0, 1]) {
      const { text, day } = wallClock(zone, 1000 * Math.floor(first_ms / 1000 + at + second));
      list.add(day === from ? text : `+${day - from}d ${text}`);
    }
  return list;
}

// All that can be named, from the plan as it is now: a time of a plan that has moved is not among it.
function momentsOf(data, events, now) {
  const actual = rules.happened(data, events);
  const move = rules.moved(data, actual, now, rules.pace(data, actual, now));
  const list = [0, now, ...move.steps.map((s) => s.at)];
  for (const part of move.parts) list.push(part.demold, ...part.layers.flatMap((layer) => Object.values(layer)));
  const words = [...data.warnings.flatMap((w) => [...w.text, ...w.remedy]), ...data.cautions.flat()];
  list.push(...words.map((w) => w.after));
  return list.filter(Number.isFinite);
}

const TEXTS = `(() => { const all = document.body.cloneNode(true);
  all.querySelectorAll("script").forEach((s) => s.remove());
  const labels = [...all.querySelectorAll("[aria-label]")].map((e) => e.getAttribute("aria-label"));
  return [all.innerText ?? all.textContent, ...labels].join("\\n"); })()`;
const EVENTS = `Object.keys(localStorage).filter((k) => k.includes("/event/")).map((k) => JSON.parse(localStorage[k]))`;
const CLOCK = /(?:\+\d+d )?\d\d:\d\d:\d\d/g;

async function look(tab, run, at) {
  await tab.value(`setClock(${at}); document.dispatchEvent(new Event("visibilitychange"))`);
  const text = await tab.value(TEXTS);
  const events = await tab.value(EVENTS);
  const first = rules.happened(run.data, events).first_ms;
  const now_ms = (run.wall + at) * 1000;
  const wall = wallClock(run.zone, now_ms);
  let planned_ms = now_ms + 1000 * (run.data.start_clock - wall.second);
  planned_ms += 1000 * (run.data.start_clock - wallClock(run.zone, planned_ms).second); // the clock changes in between
  const start_ms = first ?? Math.max(planned_ms, 60000 * Math.ceil(now_ms / 60000));
  const may = writings(run.zone, start_ms, momentsOf(run.data, events, first ? (now_ms - first) / 1000 : 0));
  if (!first) may.add(wall.text);
  for (const clock of text.match(CLOCK) ?? []) {
    run.checked++;
    assert.ok(may.has(clock), `${run.name}, ${at} s after the page was opened: ${clock} in "` +
      text.slice(Math.max(0, text.indexOf(clock) - 80), text.indexOf(clock) + 30) + `"`);
  }
}

// Waits, then casts: the second layer is late, and every pour dawdled over a little.
async function cast(browser, made, run) {
  const tab = await browser.tab();
  await tab.send("Emulation.setTimezoneOverride", { timezoneId: run.zone });
  await tab.before(fake(run.wall));
  await tab.open(made.url);
  run.data = made.data;
  run.checked = 0;
  let at = run.wait;
  await look(tab, run, 0);
  await look(tab, run, at);
  for (let steps = 0; steps < 60 && (await tab.value(`!document.getElementById("done").disabled`)); steps++) {
    const step = await tab.value(`document.getElementById("word").innerText + " " + document.getElementById("which").innerText`);
    const events = await tab.value(EVENTS);
    const actual = rules.happened(run.data, events);
    const now = actual.first_ms === null ? 0 : (run.wall + at) - actual.first_ms / 1000;
    const move = rules.moved(run.data, actual, now, rules.pace(run.data, actual, now));
    const next = move.steps.find((s) => !rules.stepDone(s, actual));
    at += Math.max(2, next.at - now) + (/^MIX .*2$/.test(step) ? 200 : 3);
    await look(tab, run, at);
    await tab.value(`document.getElementById("done").click()`);
    await look(tab, run, at);
  }
  assert.match(await tab.value(`document.getElementById("words").textContent`), /Everything is out of the mold/, run.name);
  assert.ok(run.checked > 300, `${run.checked} times looked at`);
  assert.deepEqual(tab.complaints, []);
  await tab.value("localStorage.clear()");
  await tab.send("Page.close");
  console.log(`ok ${run.name}: ${run.checked} times on the clock of the work`);
}

const ZONE = "Europe/Berlin";
const day = 1773446400; // 2026-03-14 00:00 UTC
const hour = 3600;
const starts = [
  { name: "as planned", zone: "UTC", wall: day + 9 * hour, wait: 0 },
  { name: "75 min earlier", zone: "UTC", wall: day + 7.75 * hour, wait: 0 },
  { name: "earlier, waited for", zone: "UTC", wall: day + 7.75 * hour, wait: 1500 },
  { name: "165 min later", zone: "UTC", wall: day + 11.75 * hour + 17, wait: 40 },
  { name: "across midnight", zone: "UTC", wall: day + 23.5 * hour, wait: 0 },
  { name: "begun after midnight", zone: "UTC", wall: day + 23.9 * hour, wait: 900 },
  { name: "summer time begins", zone: ZONE, wall: 1774744200, wait: 0 }, // 01:30 of March 29, 2026
  { name: "summer time ends", zone: ZONE, wall: 1792886400, wait: 0 }, // 02:00 of October 25, 2026, the first of two
];

const browser = new Browser(chromium);
try {
  const urethane = writePage("urethane", (ini) => ini.replace("start = 09:00", "start = 09:00\nhands = 1"));
  const coats = writePage("coats", polyester);
  const named = coats.data.warnings.flatMap((w) => w.text).filter((w) => typeof w !== "string");
  assert.ok(named.length > 0, "no warning of this page names a time: nothing would be looked at");
  for (const start of starts) await cast(browser, urethane, { ...start });
  for (const start of starts) await cast(browser, coats, { ...start, name: `coats, ${start.name}` });
  console.log(`${2 * starts.length} passed, 0 failed`);
} finally {
  await browser.close();
  rmSync(folder, { recursive: true, force: true });
}
