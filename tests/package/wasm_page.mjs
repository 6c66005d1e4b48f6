// SPDX-License-Identifier: GPL-3.0-or-later
// The planner's page in a headless Chromium without a network, as a caster has it: forms, text, mesh, own resin,
// wrong values, the page of the bench; each answer is the native tool's.
//     node wasm_page.mjs POURCLOCK PAGE SOURCE-FOLDER CHROMIUM [FOLDER-FOR-PICTURES]
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { copyFileSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { Browser } from "../cli/browser.mjs";

const [program, page, source, chromium, pictures] = process.argv.slice(2);
const folder = mkdtempSync(join(tmpdir(), "pourclock-planner."));
const environment = { ...process.env, HOME: folder, XDG_CONFIG_HOME: folder, POURCLOCK_SHELF: join(source, "examples/resins") };
copyFileSync(join(source, "examples/otter.stl"), join(folder, "otter.stl"));

// What the native tool answers to these files.
function native(args, files = {}) {
  for (const [name, text] of Object.entries(files)) writeFileSync(join(folder, name), text);
  const { status, stdout, stderr } = spawnSync(program, args, { cwd: folder, env: environment, encoding: "utf8" });
  return { code: status, text: stdout, said: stderr.trimEnd() };
}

const browser = new Browser(chromium);
let tab;
const text = (selector) => tab.value(`document.querySelector(${JSON.stringify(selector)}).textContent`);
const valueOf = (selector) => tab.value(`document.querySelector(${JSON.stringify(selector)}).value`);

// Types into a field, or picks of a list, and leaves it.
function fill(selector, value) {
  return tab.value(`(() => { const e = document.querySelector(${JSON.stringify(selector)}); e.value = ${JSON.stringify(value)};
    e.dispatchEvent(new Event("change", { bubbles: true })); })()`);
}

async function until(expression) {
  for (let i = 0; i < 600; i++) {
    if (await tab.value(expression)) return;
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
  assert.fail(`never: ${expression}`);
}

async function press(id) {
  await tab.click(`#${id}`);
  await until(`document.getElementById("stop").disabled && document.getElementById("state").textContent !== "Planning ..."`);
}

// Plans what the page holds, and sees that the tool says the same of it.
async function planned() {
  await press("plan");
  const name = await valueOf("#file-name");
  const files = { [name]: await valueOf("#piece"), "my-resin.ini": await valueOf("#resin") };
  const want = native(["schedule", name], files);
  assert.equal(await text("#messages"), want.said);
  if (want.code <= 1) assert.equal(await text("#result"), want.text);
  return want;
}

async function begins() {
  assert.equal(await valueOf("#piece"), readFileSync(join(source, "examples/otter-warm.ini"), "utf8"));
  assert.equal((await planned()).code, 0);
  assert.match(await text("#result"), /^Otter, seated\n/);
}

async function forms() {
  await fill('[name="hollow body/wall"]', "1/4 in");
  assert.match(await valueOf("#piece"), /^wall = 1\/4 in$/m);
  await fill('[name="hollow body/pour_hole"]', "");
  assert.doesNotMatch(await valueOf("#piece"), /pour_hole/);
  await fill('[name="shop/temperature"]', "64 F");
  await fill('[name="hollow body/layers"]', "5");
  assert.match(await valueOf("#piece"), /^\[hollow body\]\narea = 210 sq in\nwall = 1\/4 in\nlayers = 5\n\[solid plinth\]$/m);
  assert.ok((await planned()).code <= 1);
  await fill("#piece", (await valueOf("#piece")).replace("layers = 5\n", "").replace("Otter, seated", "<b>Otter</b> & co"));
  assert.equal(await valueOf('[name="hollow body/layers"]'), "");
  assert.equal(await valueOf('[name="piece/name"]'), "<b>Otter</b> & co");
  assert.ok((await planned()).code <= 1);
}

async function wrongValues() {
  await fill('[name="hollow body/wall"]', "3/16");
  const want = await planned();
  assert.equal(want.code, 3);
  assert.match(want.said, /otter-warm\.ini:\d+/);
  assert.match(await text("#state"), /a file is wrong/);
  await fill('[name="hollow body/wall"]', "3/16 in");
  await fill("#piece", (await valueOf("#piece")).replace("[shop]", "[shpo]"));
  assert.equal((await planned()).code, 3);
  await fill("#example", "otter-impossible.ini");
  assert.equal((await planned()).code, 1);
}

async function ownResin() {
  await fill("#example", "otter-warm.ini");
  await tab.value('document.getElementById("resin-sheet").open = true');
  await fill("#shelf", "slow-urethane.ini");
  await fill('[name="resin/name"]', "My resin");
  await fill('[name="resin/pot_life"]', "9 min");
  await fill('[name="resin/density"]', "1.08 g/cm3");
  await tab.click("#use");
  assert.match(await valueOf("#piece"), /^resin = my-resin\.ini$/m);
  assert.match((await planned()).text, /My resin/);
  await press("table");
  assert.equal(await text("#result"), native(["resin", "my-resin.ini"]).text);
  await fill('[name="resin/ratio"]', "100:90");
  assert.equal((await planned()).code, 3);
}

async function meshes() {
  await fill("#piece", readFileSync(join(source, "examples/otter-mesh.ini"), "utf8"));
  await fill("#file-name", "otter-mesh.ini");
  await press("plan");
  assert.match(await text("#messages"), /otter\.stl/);
  const { root } = await tab.send("DOM.getDocument");
  const { nodeId } = await tab.send("DOM.querySelector", { nodeId: root.nodeId, selector: "#files" });
  await tab.send("DOM.setFileInputFiles", { nodeId, files: [join(folder, "otter.stl")] });
  await until('document.getElementById("have").textContent.includes("otter.stl")');
  assert.ok((await planned()).code <= 1);
}

// A new piece of the tool's own; stopping; what is kept.
async function beginsAnew() {
  await fill("#example", "new");
  await until('document.getElementById("stop").disabled');
  assert.match(await valueOf("#piece"), /^\[hollow body\]$/m);
  assert.equal((await planned()).code, 0);
  await tab.click("#plan");
  await tab.click("#stop");
  assert.equal(await text("#state"), "Stopped.");
  await fill("#example", "otter-hand.ini");
  await tab.reload();
  assert.equal(await valueOf("#file-name"), "otter-hand.ini");
  assert.equal(await valueOf("#piece"), readFileSync(join(source, "examples/otter-hand.ini"), "utf8"));
}

async function benchPage() {
  await press("bench");
  assert.equal(await tab.value('document.getElementById("bench-links").hidden'), false);
  const html = await tab.value('document.getElementById("open-bench").href');
  assert.match(html, /^blob:/);
  assert.equal(await tab.value('document.getElementById("save-bench").download'), "otter-hand.html");
  const known = new Set((await browser.send("Target.getTargets")).targetInfos.map((info) => info.targetId));
  await tab.click("#open-bench");
  let target;
  for (let i = 0; i < 100 && !target; i++) {
    target = (await browser.send("Target.getTargets")).targetInfos.find((info) => info.type === "page" && !known.has(info.targetId));
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
  assert.ok(target, "the page of the bench opens in a tab");
  const { sessionId } = await browser.send("Target.attachToTarget", { targetId: target.targetId, flatten: true });
  const evaluate = async (expression) => (await browser.send("Runtime.evaluate", { expression, returnByValue: true }, sessionId)).result.value;
  for (let i = 0; i < 100 && !(await evaluate('document.getElementById("word")?.textContent')); i++)
    await new Promise((resolve) => setTimeout(resolve, 100));
  assert.equal(await evaluate('document.getElementById("piece").textContent'), /^name = (.*)$/m.exec(await valueOf("#piece"))[1]);
  assert.ok(await evaluate('document.querySelectorAll("#steps li").length') > 3);
  assert.notEqual(await evaluate('getComputedStyle(document.getElementById("now")).borderRadius'), "0px");
  const word = await evaluate('document.getElementById("word").textContent');
  await evaluate('document.getElementById("done").click()');
  assert.notEqual(await evaluate('document.getElementById("word").textContent'), word);
}

async function phone() {
  for (const [width, height] of [[320, 640], [1280, 800]]) {
    await tab.size(width, height, width < 500);
    for (const scheme of ["light", "dark"]) {
      await tab.scheme(scheme);
      assert.ok(await tab.value("document.documentElement.scrollWidth <= document.documentElement.clientWidth"), `${width} px wide`);
      if (pictures) writeFileSync(join(pictures, `planner-${width}-${scheme}.png`), await tab.picture(true));
    }
  }
  const unnamed = await tab.value(`[...document.querySelectorAll("input, select, textarea")].filter((e) => !e.labels.length).map((e) => e.id)`);
  assert.deepEqual(unnamed, []);
}

try {
  tab = await browser.tab();
  await tab.send("Network.emulateNetworkConditions", { offline: true, latency: 0, downloadThroughput: 0, uploadThroughput: 0 });
  await tab.open(`file://${page}`);
  for (const test of [begins, forms, wrongValues, ownResin, meshes, beginsAnew, benchPage, phone]) {
    await test();
    console.log(`ok ${test.name}`);
  }
  assert.deepEqual(tab.requests.filter((url) => !/^(file|blob|data):/.test(url)).map((url) => url.slice(0, 300)), []);
  assert.deepEqual(tab.complaints.map((text) => text.slice(0, 300)), []);
} finally {
  await browser.close();
  rmSync(folder, { recursive: true, force: true });
}
