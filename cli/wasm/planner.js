// SPDX-License-Identifier: GPL-3.0-or-later
// The planner: forms beside the text of a piece file and a resin file, and the tool itself in a worker.
"use strict";
(() => {
  const el = (id) => document.getElementById(id);
  const RESIN_FILE = "my-resin.ini";
  const KEEP = "pourclock-planner/";

  // Fields of the forms by the kind of section: key, label, what it may look like or the words it may be.
  const PIECE = {
    piece: [["name", "Name", ""], ["resin", "Resin", "fast-urethane"], ["units", "Print in", ["us", "metric"]]],
    hollow: [["area", "Area inside the mold", "210 sq in"], ["mesh", "or a mesh", "otter.stl"],
      ["mesh_unit", "its unit", ["mm", "cm", "m", "in", "ft"]], ["wall", "Wall", "3/16 in"],
      ["pour_hole", "Pour hole", "3/4 in"], ["layers", "Layers, if it must be", ""]],
    solid: [["volume", "Volume", "7 fl oz"], ["area", "Surface", "93 sq in"], ["form", "Most like a", ["slab", "cylinder", "sphere"]]],
    mold: [["rubber", "Rubber", "3/8 in"], ["shell", "Shell", "8 mm"], ["limit", "Rubber's limit", "250 F"]],
    turning: [["method", "Turned by", ["machine", "hand", "drain"]], ["outer", "Outer axis", "12 rpm"], ["inner", "Inner axis", "3 rpm"]],
    shop: [["temperature", "Temperature", "73 F"], ["mix_time", "To mix a cup", "60 s"], ["pour_time", "To pour it", "30 s"],
      ["largest_mix", "Largest mix", "500 g"], ["cup_loss", "Stays in the cup", "3 %"], ["start", "First mix", "09:00"]],
  };
  const RESIN = {
    resin: [["name", "Name", ""], ["family", "Family", ["urethane", "epoxy", "polyester"]], ["density", "Density, mixed", "1.05 g/cm3"],
      ["viscosity", "Viscosity, mixed", "120 mPa.s"], ["ratio", "Ratio", "100:90 by weight"], ["pot_life", "Pot life", "3 min"],
      ["pot_life_mass", "of a batch of", "100 g"], ["pot_life_at", "at", "23 C"], ["gel_time", "Gel time of the cup", "5 min"],
      ["film_gel", "A film gels in", "12 min"], ["demold_time", "Demold", "20 min"]],
  };

  // ---- INI text: what one key says, and the text with another value of it ----

  const headOf = (line) => /^\s*\[([^\]]*)\]/.exec(line)?.[1].trim();
  const entryOf = (line) => /^(\s*([A-Za-z_0-9]+)\s*=\s*)(.*?)(\s+[;#].*|\s*)$/.exec(line);

  function sections(text) {
    return text.split("\n").map(headOf).filter((name) => name !== undefined);
  }

  // Lines of a section: the first after its head, and the one after its last.
  function span(lines, section) {
    const head = lines.findIndex((line) => headOf(line)?.toLowerCase() === section.toLowerCase());
    if (head < 0) return null;
    let end = head + 1;
    while (end < lines.length && headOf(lines[end]) === undefined) end++;
    return { from: head + 1, end };
  }

  function locate(lines, section, key) {
    const place = span(lines, section);
    for (let i = place?.from; place && i < place.end; i++)
      if (entryOf(lines[i])?.[2].toLowerCase() === key) return i;
    return -1;
  }

  function valueOf(text, section, key) {
    const lines = text.split("\n");
    const at = locate(lines, section, key);
    return at < 0 ? "" : entryOf(lines[at])[3];
  }

  function withValue(text, section, key, value) {
    const lines = text.split("\n");
    const at = locate(lines, section, key);
    if (at >= 0 && value === "") lines.splice(at, 1);
    else if (at >= 0) {
      const [, start, , , end] = entryOf(lines[at]);
      lines[at] = start + value + end;
    } else if (value !== "") {
      if (!span(lines, section)) lines.splice(lines.at(-1) === "" ? -1 : lines.length, 0, `[${section}]`);
      const place = span(lines, section);
      let last = place.from;
      for (let i = place.from; i < place.end; i++) if (entryOf(lines[i])) last = i + 1;
      lines.splice(last, 0, `${key} = ${value}`);
    }
    return lines.join("\n");
  }

  // ---- forms beside the texts ----

  function makeField(area, section, [key, label, hint]) {
    const words = Array.isArray(hint);
    const field = document.createElement(words ? "select" : "input");
    const value = valueOf(area.value, section, key);
    if (words)
      for (const word of new Set(["", ...hint, value])) field.append(new Option(word, word));
    else field.placeholder = hint;
    field.value = value;
    field.name = `${section}/${key}`;
    field.spellcheck = false;
    if (key === "resin") field.setAttribute("list", "resins");
    field.addEventListener("change", () => {
      area.value = withValue(area.value, section, key, field.value.trim().replace(/\s+/g, " "));
      keep();
    });
    const around = document.createElement("label");
    around.append(label, field);
    return around;
  }

  // Rebuilt only when the text was changed, not by a field of its own: a caster stays where he types.
  function fillForm(form, area, kinds) {
    const named = sections(area.value);
    const parts = named.filter((name) => /^(hollow|solid)\s/i.test(name));
    const shown = Object.keys(kinds).flatMap((kind) => kind === "solid" ? [] : kind === "hollow" ? parts : [kind]);
    form.replaceChildren(...shown.map((section) => {
      const box = document.createElement("fieldset");
      const legend = document.createElement("legend");
      legend.textContent = section;
      box.append(legend, ...kinds[section.split(/\s/)[0].toLowerCase()].map((field) => makeField(area, section, field)));
      return box;
    }));
  }

  const fillPiece = () => fillForm(el("piece-form"), el("piece"), PIECE);
  const fillResin = () => fillForm(el("resin-form"), el("resin"), RESIN);

  // ---- what is kept in this browser, where it lets us ----

  function keep() {
    try {
      for (const id of ["piece", "resin", "file-name"]) localStorage.setItem(KEEP + id, el(id).value);
    } catch (error) { /* a page without storage begins with the example */ }
  }

  function kept(id) {
    try {
      return localStorage.getItem(KEEP + id);
    } catch (error) {
      return null;
    }
  }

  // ---- the tool ----

  const given = {};
  const engine = URL.createObjectURL(new Blob([el("engine").textContent], { type: "text/javascript" }));
  let worker = null;
  let running = null;

  function say(text, wrong) {
    const box = document.createElement("pre");
    box.textContent = text;
    box.className = wrong ? "wrong" : "";
    el("messages").replaceChildren(...(text ? [box] : []));
  }

  function working(now) {
    for (const id of ["plan", "bench", "table"]) el(id).disabled = now;
    el("stop").disabled = !now;
    if (now) el("state").textContent = "Planning ...";
  }

  // Runs the tool; resolves to its exit code, what it said and the files wanted, or null when stopped.
  function run(args, files, wanted) {
    worker ??= new Worker(engine);
    say("", false);
    working(true);
    return new Promise((resolve) => {
      running = resolve;
      worker.onmessage = ({ data }) => resolve(data);
      worker.onerror = (event) => resolve({ code: 4, files: {}, said: `The planner did not start here: ${event.message ?? "no reason given"}. ` +
        "A browser of the last years is needed." });
      worker.postMessage({ args, files, wanted });
    }).finally(() => {
      running = null;
      working(false);
    });
  }

  function stop() {
    worker?.terminate();
    worker = null;
    running?.(null);
  }

  const EXITS = ["Planned.", "Planned, but no schedule meets the limits: see the warnings.", "Not planned.",
    "Not planned: a file is wrong.", "Not planned: a fault of the tool."];

  function show(answer, shown) {
    if (!answer) {
      el("state").textContent = "Stopped.";
      return false;
    }
    say(answer.said, answer.code > 1);
    el("state").textContent = EXITS[answer.code] ?? EXITS[4];
    if (answer.code > 1) return false;
    if (shown in answer.files) {
      el("result").textContent = answer.files[shown];
      el("save-result").disabled = false;
    }
    return true;
  }

  function fileName() {
    const name = el("file-name").value.trim();
    return /^[\w][\w.-]*\.ini$/.test(name) && name !== RESIN_FILE ? name : "piece.ini";
  }

  const filesOf = () => ({ ...given, ...(el("resin").value.trim() ? { [RESIN_FILE]: el("resin").value } : {}), [fileName()]: el("piece").value });

  async function plan() {
    el("bench-links").hidden = true;
    show(await run(["schedule", fileName(), "-o", "schedule.txt"], filesOf(), ["schedule.txt"]), "schedule.txt");
  }

  async function makeBench() {
    const answer = await run(["schedule", fileName(), "--page", "bench.html", "-o", "schedule.txt"], filesOf(), ["schedule.txt", "bench.html"]);
    if (!show(answer, "schedule.txt")) return;
    const url = URL.createObjectURL(new Blob([answer.files["bench.html"]], { type: "text/html" }));
    el("open-bench").href = el("save-bench").href = url;
    el("save-bench").download = fileName().replace(/ini$/, "html");
    el("bench-links").hidden = false;
  }

  async function table() {
    show(await run(["resin", RESIN_FILE, "-o", "table.txt"], filesOf(), ["table.txt"]), "table.txt");
  }

  async function newPiece() {
    const answer = await run(["new", "--units", "us", "new.ini"], {}, ["new.ini"]);
    if (show(answer, "")) setPiece(answer.files["new.ini"], "piece.ini");
    el("state").textContent = "";
  }

  // ---- the page ----

  function setPiece(text, name) {
    el("piece").value = text;
    el("file-name").value = name;
    fillPiece();
    keep();
  }

  function setResin(text) {
    el("resin").value = text;
    fillResin();
    keep();
  }

  function save(name, text) {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text], { type: "text/plain" }));
    link.download = name;
    link.click();
  }

  function textOf(kind, name) {
    return document.querySelector(`script[data-${kind}="${name}"]`).textContent.slice(1);
  }

  function fillChoices() {
    const list = document.createElement("datalist");
    list.id = "resins";
    for (const { dataset } of document.querySelectorAll("script[data-piece]")) el("example").append(new Option(dataset.piece, dataset.piece));
    for (const { dataset } of document.querySelectorAll("script[data-resin]")) {
      el("shelf").append(new Option(dataset.resin, dataset.resin));
      list.append(new Option(dataset.resin.replace(/\.ini$/, "")));
    }
    list.append(new Option(RESIN_FILE));
    document.body.append(list);
  }

  async function takeFiles() {
    for (const file of el("files").files) given[file.name] = new Uint8Array(await file.arrayBuffer());
    const names = Object.keys(given);
    el("have").textContent = names.length ? `At hand: ${names.join(", ")}` : "";
  }

  fillChoices();
  el("example").addEventListener("change", () => {
    const name = el("example").value;
    if (name === "new") newPiece();
    else if (name) setPiece(textOf("piece", name), name);
  });
  el("shelf").addEventListener("change", () => el("shelf").value && setResin(textOf("resin", el("shelf").value)));
  el("piece").addEventListener("change", () => { fillPiece(); keep(); });
  el("resin").addEventListener("change", () => { fillResin(); keep(); });
  el("file-name").addEventListener("change", keep);
  el("files").addEventListener("change", takeFiles);
  for (const id of ["piece-form", "resin-form"]) el(id).addEventListener("submit", (event) => event.preventDefault());
  el("plan").addEventListener("click", plan);
  el("bench").addEventListener("click", makeBench);
  el("table").addEventListener("click", table);
  el("stop").addEventListener("click", stop);
  el("use").addEventListener("click", () => {
    el("piece").value = withValue(el("piece").value, "piece", "resin", RESIN_FILE);
    fillPiece();
    keep();
    el("state").textContent = `The piece is planned with ${RESIN_FILE}.`;
  });
  el("save-resin").addEventListener("click", () => save(RESIN_FILE, el("resin").value));
  el("save-piece").addEventListener("click", () => save(fileName(), el("piece").value));
  el("save-result").addEventListener("click", () => save("schedule.txt", el("result").textContent));
  setPiece(kept("piece") ?? textOf("piece", "otter-warm.ini"), kept("file-name") ?? "otter-warm.ini");
  setResin(kept("resin") ?? "");
})();
