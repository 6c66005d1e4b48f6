// SPDX-License-Identifier: GPL-3.0-or-later
// The tool as WebAssembly against the native one: the same arguments and files give the same exit code, messages and
// text, byte by byte. Figures of JSON and CSV, which have ten digits, may differ in the last of them: another compiler
// sums in another order.
//     node wasm_examples.mjs POURCLOCK ENGINE SOURCE-FOLDER
import { spawnSync } from "node:child_process";
import { createRequire } from "node:module";
import { mkdtempSync, readFileSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

const [program, engine, source] = process.argv.slice(2);
process.setMaxListeners(0); // each instance listens for the end of the process
const LAST_DIGITS = 1e-8;
const make = createRequire(import.meta.url)(engine);
const examples = join(source, "examples");
const scratch = mkdtempSync(join(tmpdir(), "pourclock-wasm."));
const files = readdirSync(examples, { withFileTypes: true }).filter((entry) => entry.isFile()).map((entry) => entry.name);
const environment = { ...process.env, TZ: "UTC", HOME: scratch, XDG_CONFIG_HOME: scratch, POURCLOCK_SHELF: join(examples, "resins"),
  SOURCE_DATE_EPOCH: "1700000000" };

function native(args) {
  const out = join(scratch, "native");
  rmSync(out, { force: true });
  const { status, stderr } = spawnSync(program, [...args, "-o", out], { cwd: examples, env: environment, encoding: "utf8" });
  return { code: status, said: stderr, text: status > 1 ? "" : readFileSync(out, "utf8") };
}

async function compiled(args) {
  const said = [];
  const tool = await make({ printErr: (line) => said.push(`${line}\n`), quit: (code, end) => { throw end; } });
  tool.FS.mkdir("/piece");
  tool.FS.chdir("/piece");
  for (const name of files) tool.FS.writeFile(name, readFileSync(join(examples, name)));
  const code = tool.callMain([...args, "-o", "out"]);
  return { code, said: said.join(""), text: code > 1 ? "" : tool.FS.readFile("out", { encoding: "utf8" }) };
}

// The first line of which something differs, or -1.
function differs(want, got, figures) {
  if (want === got) return -1;
  const number = /-?\d+(?:\.\d+)?(?:e[-+]?\d+)?/g;
  const there = String(got).split("\n");
  const here = String(want).split("\n");
  if (here.length !== there.length) return Math.min(here.length, there.length) - 1;
  return here.findIndex((line, i) => {
    if (line === there[i]) return false;
    if (!figures || line.replace(number, "#") !== there[i]?.replace(number, "#")) return true;
    const other = there[i].match(number);
    return line.match(number).some((digits, n) => Math.abs(digits - other[n]) > LAST_DIGITS * Math.abs(digits));
  });
}

const pieces = files.filter((name) => /^otter-.*\.ini$/.test(name));
const commands = [
  ...pieces.map((name) => ["schedule", name]),
  ...pieces.map((name) => ["schedule", name, "--json"]),
  ["schedule", "otter-warm.ini", "--csv", "--nominal"],
  ["resin", "fast-urethane"], ["resin", "polyester", "--json"],
  ["cuptest", "cuptest.csv", "--resin", "fast-urethane"],
  ["supplies", "otter-warm.ini", "--prices", "prices.csv"],
  ["turn", "otter-warm.ini", "--json"], ["warm", "otter-cold.ini"], ["day", "day.ini"],
  ["area", "otter.stl", "--mesh-unit", "mm"], ["traps", "otter.stl", "--mesh-unit", "mm"],
  ["schedule", "no-such.ini"], ["schedule", "day.ini"],
];
let differ = 0;
let last = 0; // outputs of which figures differ in the tenth digit
let native_ms = 0;
let compiled_ms = 0;
for (const args of commands) {
  const start = Date.now();
  const want = native(args);
  const between = Date.now();
  const got = await compiled(args);
  native_ms += between - start;
  compiled_ms += Date.now() - between;
  for (const part of ["code", "said", "text"]) {
    const at = differs(want[part], got[part], args.includes("--json") || args.includes("--csv"));
    if (at < 0) {
      if (want[part] !== got[part]) last++;
      continue;
    }
    const line = (text) => String(text).split("\n")[at];
    console.log(`FAIL: pourclock ${args.join(" ")}: ${part}, line ${at + 1}: ${line(want[part])} | ${line(got[part])}`);
    differ++;
  }
}
rmSync(scratch, { recursive: true });
console.log(`${commands.length} commands, ${differ} differ, ${last} in the tenth digit alone; native ${(native_ms / 1000).toFixed(1)} s, WebAssembly ${(compiled_ms / 1000).toFixed(1)} s`);
process.exitCode = differ === 0 ? 0 : 1;
