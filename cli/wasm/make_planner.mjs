// SPDX-License-Identifier: GPL-3.0-or-later
// Writes the planner: one HTML file with the style, the script, the tool as WebAssembly and the examples.
//     node make_planner.mjs SOURCE-FOLDER ENGINE VERSIONS-OF-LIBRARIES
import { createHash } from "node:crypto";
import { readFileSync, readdirSync, writeSync } from "node:fs";
import { join } from "node:path";

const [source, engine, versions] = process.argv.slice(2);
const read = (name) => readFileSync(join(source, name), "utf8");
const escaped = (text) => text.replace(/&/g, "&amp;").replace(/</g, "&lt;");
// As the browser takes it: all between the tags, the first line end too.
const hashOf = (text) => `'sha256-${createHash("sha256").update(`\n${text}`).digest("base64")}'`;

// What lies in the page as text must not end its element.
function block(kind, name, text) {
  if (/<\/script|<!--/i.test(text)) throw new Error(`${name} would end its script element`);
  return `<script type="text/plain" data-${kind}="${name}">\n${text}</script>`;
}

const style = read("cli/draw/page/page.css") + read("cli/wasm/planner.css");
const script = read("cli/wasm/planner.js");
const tool = readFileSync(engine, "utf8") + read("cli/wasm/worker.js");
block("engine", engine, tool);
// The page of the bench, opened from here, is held to this page's policy too.
const bench = [...read("cli/draw/page/hashes.h").matchAll(/PAGE_(STYLE|SCRIPT)_HASH *"(.*)"/g)];
const benchHash = Object.fromEntries(bench.map(([, what, hash]) => [what, `'${hash}'`]));
const policy = `default-src 'none'; script-src ${hashOf(script)} ${benchHash.SCRIPT} 'wasm-unsafe-eval' blob:; ` +
  `style-src ${hashOf(style)} ${benchHash.STYLE}; worker-src blob:; connect-src data:; base-uri 'none'; form-action 'none'`;

const list = (folder, pattern) => readdirSync(join(source, folder)).filter((name) => pattern.test(name)).sort();
const pieces = list("examples", /^otter-.*\.ini$/).map((name) => [name, read(`examples/${name}`)])
  .filter(([, text]) => !/^mesh *=/m.test(text));
const resins = list("examples/resins", /\.ini$/).map((name) => [name, read(`examples/resins/${name}`)]);
const parts = {
  POLICY: `<meta http-equiv="Content-Security-Policy" content="${policy}">`,
  STYLE: style.trimEnd(),
  SCRIPT: script.trimEnd(),
  ENGINE: tool.trimEnd(),
  EXAMPLES: [...pieces.map(([name, text]) => block("piece", name, text)),
    ...resins.map(([name, text]) => block("resin", name, text))].join("\n"),
  ABOUT: escaped(`${versions}. Free software under the GNU General Public License, version 3 or later, without any warranty.`),
};
const page = read("cli/wasm/planner.html").replace(/@([A-Z]+)@/g, (all, name) => parts[name] ?? all);
const bytes = Buffer.from(page);
for (let at = 0; at < bytes.length;) at += writeSync(1, bytes, at);
