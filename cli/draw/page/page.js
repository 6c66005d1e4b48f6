// SPDX-License-Identifier: GPL-3.0-or-later
// What the page shows and hears: the step in hand, its countdown, buttons, alarms. What moves when is
// in rules.js; what happened is kept in the browser's storage, an entry an event, so that two tabs
// cannot overwrite one another and a reload loses nothing.
(() => {
  const plan = JSON.parse(document.getElementById("plan").textContent);
  const el = (id) => document.getElementById(id);
  const known = rules.known;
  const TICK_MS = 250;
  const RING_EVERY_MS = 4000;
  const DOUBLE_PRESS_MS = 700; // a glove bounces
  const DEADLINE_WARN_S = 30;
  const JUMP_MS = 3000;
  const DAY_S = 86400;
  const LONG_AFTER_S = 6 * 3600;
  const encode = (text) => rules.crc32(new TextEncoder().encode(text)).toString(16);
  const id = `${plan.fingerprint}-${encode(JSON.stringify([plan.parts, plan.log]))}`;
  const PREFIX = `pourclock/${id}/`;
  const WORDS = { mix: "MIX", pour: "POUR", turn: "TURN", stop: "STOP", wait: "WAIT", demold: "DEMOLD" };
  const DONE_WHEN = {
    mix: "when you start mixing", pour: "when all of it is in", turn: "when it starts to turn",
    stop: "when you stop it", demold: "when it is out",
  };
  const state = {
    events: [], actual: null, move: null, today: null, troubles: [], now: 0, step: null,
    alarms: new Map(), seen: new Set(), message: "", unsaved: false, memory: [], drawn: "", drawnLine: "", drawnNotes: "",
    lastPress: 0, lastRing: 0, spokenStep: "", spokenLeft: Infinity, offset: null, movedAt: -Infinity,
    audio: null, lock: null, armed: false,
  };

  // ---- what happened, kept ----

  const logged = rules.logged(plan);
  const counted = rules.countedGels(plan);

  function stored() {
    const list = [];
    for (let i = 0; i < localStorage.length; i++) {
      const key = localStorage.key(i);
      if (!key.startsWith(`${PREFIX}event/`)) continue;
      try {
        const event = JSON.parse(localStorage.getItem(key));
        if (known(event.at_ms) && typeof event.id === "string") list.push(event);
      } catch (error) {
        state.message = "One entry of this page's record cannot be read: it is left out.";
      }
    }
    return list;
  }

  function load() {
    try {
      const mine = new Set();
      const list = stored();
      list.forEach((e) => mine.add(e.id));
      state.events = [...logged, ...list, ...state.memory.filter((e) => !mine.has(e.id))];
      state.seen = new Set(JSON.parse(localStorage.getItem(`${PREFIX}seen`) || "[]"));
    } catch (error) {
      state.unsaved = true;
      state.events = [...logged, ...state.memory];
    }
    state.actual = rules.happened(plan, state.events);
    state.movedAt = -Infinity;
  }

  // True when it is in the storage; otherwise it is kept here, and the page says so.
  function record(kind, part, layer, value) {
    const at_ms = Date.now();
    const random = Math.floor(Math.random() * 0x100000000).toString(16);
    const event = { id: `${at_ms}-${random}`, kind, part, layer, at_ms, value };
    try {
      localStorage.setItem(`${PREFIX}event/${event.id}`, JSON.stringify(event));
      state.unsaved = false;
    } catch (error) {
      state.memory.push(event);
      state.unsaved = true;
    }
    load();
    return !state.unsaved;
  }

  function keepSeen() {
    try {
      localStorage.setItem(`${PREFIX}seen`, JSON.stringify([...state.seen]));
    } catch (error) {
      state.unsaved = true;
    }
  }

  function eraseRun() {
    state.memory = [];
    for (let i = localStorage.length - 1; i >= 0; i--) {
      const key = localStorage.key(i);
      if (key.startsWith(PREFIX)) localStorage.removeItem(key);
    }
    state.alarms.clear();
    load();
  }

  // ---- times in words ----

  const two = (n) => String(n).padStart(2, "0");

  const started = () => known(state.actual.first_ms);

  // When the first mix is, since 1970: what happened, or what is planned for today, or now if later.
  function startMs() {
    if (started()) return state.actual.first_ms;
    const now = new Date(Date.now());
    const planned = new Date(now.getFullYear(), now.getMonth(), now.getDate(), 0, 0, plan.start_clock);
    return Math.max(planned.getTime(), 60000 * Math.ceil(now.getTime() / 60000));
  }

  // Seconds after midnight of the first mix.
  function startClock() {
    const at = new Date(startMs());
    return at.getHours() * 3600 + at.getMinutes() * 60 + at.getSeconds() + at.getMilliseconds() / 1000;
  }

  const dayNumber = (at) => Date.UTC(at.getFullYear(), at.getMonth(), at.getDate()) / (DAY_S * 1000);

  // Time of day, as the clock on the wall has it then, summer time or not; deadlines are cut to the
  // second before, what must not be early goes up.
  function clock(at, up) {
    if (!known(at)) return "unknown";
    const second = startMs() / 1000 + at;
    const then = new Date(1000 * (up ? Math.ceil(second - 1e-3) : Math.floor(second + 1e-3)));
    const day = dayNumber(then) - dayNumber(new Date(startMs()));
    const text = `${two(then.getHours())}:${two(then.getMinutes())}:${two(then.getSeconds())}`;
    return day === 0 ? text : `+${day}d ${text}`;
  }

  function wallClock() {
    const at = new Date(Date.now());
    return `${two(at.getHours())}:${two(at.getMinutes())}:${two(at.getSeconds())}`;
  }

  function countdown(seconds) {
    const whole = Math.round(Math.abs(seconds));
    const sign = seconds < -0.5 ? "-" : "";
    const tail = `${two(Math.floor(whole / 60) % 60)}:${two(whole % 60)}`;
    return whole >= 3600 ? `${sign}${Math.floor(whole / 3600)}:${tail}`
      : `${sign}${Math.floor(whole / 60)}:${two(whole % 60)}`;
  }

  function duration(seconds) {
    const whole = Math.round(Math.abs(seconds));
    if (whole < 60) return `${whole} s`;
    if (whole < 3600) return whole % 60 ? `${Math.floor(whole / 60)}m${two(whole % 60)}s` : `${whole / 60} min`;
    return `${Math.floor(whole / 3600)}h${two(Math.floor(whole / 60) % 60)}m`;
  }

  const NAMED_UP = { stop: true, demold: true, gel: true, mix: true, end: true };

  // Words with the times that hold now.
  function inWords(words) {
    return words.map((word) => {
      if (typeof word === "string") return word;
      if (known(word.after)) return clock(word.after, false);
      const part = state.move.parts[word.part];
      return clock(word.at === "demold" ? part.demold : part.layers[word.layer][word.at], NAMED_UP[word.at]);
    }).join("");
  }

  const stepWords = (step) => inWords(step.words);

  function wordOf(step) {
    if (step.kind === "turn" && step.anchor === "set") return "SETTING";
    if (step.kind === "turn" && step.anchor === "drain") return "POUR OUT";
    return WORDS[step.kind] || step.kind.toUpperCase();
  }

  function whichOf(step) {
    const part = plan.parts[step.part];
    return step.layer > 0 ? `${part.name}, ${part.word} ${step.layer}` : part.name;
  }

  const layerOf = (step) => (step.layer > 0 ? plan.parts[step.part].layers[step.layer - 1] : null);

  function massWords(layer) {
    const each = layer.cups > 1 ? ` in each of ${layer.cups} cups` : "";
    const filler = layer.filler ? ` + filler ${layer.filler}` : "";
    return `A ${layer.a} + B ${layer.b}${filler}${each}`;
  }

  // ---- sound, buzz, screen ----

  const PATTERNS = {
    mix: [[880, 0.15], [880, 0.15]], pour: [[660, 0.2], [880, 0.2]],
    by: [[1320, 0.12], [1320, 0.12], [1320, 0.12], [1320, 0.12]],
    set: [[520, 0.2], [660, 0.2], [880, 0.2]], stop: [[440, 0.9]], turn: [[660, 0.3]],
    demold: [[520, 0.5], [390, 0.5]], trouble: [[1320, 0.4], [660, 0.4], [1320, 0.4]],
  };

  function wakeAudio() {
    const Audio = window.AudioContext || window.webkitAudioContext;
    if (!state.audio && Audio) state.audio = new Audio();
    if (state.audio && state.audio.state === "suspended") state.audio.resume();
  }

  function ring(name) {
    const notes = PATTERNS[name] || PATTERNS.mix;
    if (navigator.vibrate) navigator.vibrate(notes.flatMap(([, s]) => [Math.round(s * 1000), 80]));
    const audio = state.audio;
    if (!audio || audio.state !== "running") return;
    let at = audio.currentTime + 0.02;
    for (const [pitch, seconds] of notes) {
      const tone = audio.createOscillator();
      const gain = audio.createGain();
      tone.type = "square";
      tone.frequency.value = pitch;
      gain.gain.setValueAtTime(0.3, at);
      gain.gain.setValueAtTime(0, at + seconds);
      tone.connect(gain).connect(audio.destination);
      tone.start(at);
      tone.stop(at + seconds + 0.02);
      at += seconds + 0.08;
    }
  }

  async function keepScreen() {
    if (!navigator.wakeLock || state.lock || document.visibilityState !== "visible") return;
    try {
      state.lock = await navigator.wakeLock.request("screen");
      state.lock.addEventListener("release", () => {
        state.lock = null;
      });
    } catch (error) {
      state.lock = null;
    }
  }

  function screenWords() {
    const sound = !state.audio || state.audio.state !== "running"
      ? "Sound is off until you touch the page." : "Sound is on.";
    const screen = state.lock ? "The screen stays on."
      : "The screen may go dark: set the phone to stay awake, and keep this page in front.";
    return `${sound} ${screen}`;
  }

  // ---- alarms ----

  function raise(now, key, sound, text, remedy) {
    const before = state.alarms.get(key);
    now.set(key, { sound, text, remedy, seen: state.seen.has(key), fresh: !before });
  }

  function dueAlarms(now) {
    const step = state.step;
    if (!step) return;
    if (step.at <= state.now + 0.5)
      raise(now, `due ${step.index}`, step.kind, `NOW: ${wordOf(step)} ${whichOf(step)}`, "");
    const by = rules.deadline(step, state.move, plan);
    if (step.kind === "pour" && known(by) && by - state.now < DEADLINE_WARN_S)
      raise(now, `by ${step.index}`, "by", `ALL IN BY ${clock(by, false)}`, "");
    // Setting: nothing to tick, but the moment not to stop turning.
    for (const said of state.move.steps) {
      if (said.kind !== "turn" || said.anchor === "end" || said.at > state.now) continue;
      const was = state.actual.layer[said.part][said.layer - 1];
      const layer = state.move.parts[said.part].layers[said.layer - 1];
      if (known(was.stop) || known(was.gel) || !known(was.end) || state.now > layer.stop) continue;
      raise(now, `set ${said.index}`, "set", `${whichOf(said)}: ${stepWords(said)}`, "");
    }
  }

  function updateAlarms() {
    const now = new Map();
    for (const t of state.troubles) raise(now, t.key, "trouble", inWords(t.text), t.remedy);
    if (started()) dueAlarms(now);
    if (state.unsaved)
      raise(now, "unsaved", "trouble", "NOT SAVED: this browser keeps nothing for this page.",
        "What happened is lost if the page closes: write the times down too.");
    state.alarms = now;
    let loud = null;
    for (const alarm of now.values()) if (!alarm.seen && (!loud || alarm.fresh)) loud = alarm;
    if (loud && (loud.fresh || Date.now() - state.lastRing >= RING_EVERY_MS)) {
      state.lastRing = Date.now();
      ring(loud.sound);
    }
  }

  function quiet() {
    for (const [key] of state.alarms) state.seen.add(key);
    keepSeen();
  }

  // ---- buttons ----

  function say(text) {
    state.message = text;
  }

  const savedWord = (saved) => (saved ? "Saved" : "NOT SAVED, kept here only");

  function softBelow(step) {
    if (step.kind !== "pour" || step.layer < 2) return false;
    const below = step.layer - 2;
    return !known(state.actual.layer[step.part][below].gel) &&
      state.now < state.move.parts[step.part].layers[below].gel;
  }

  function pressDone() {
    const step = state.step;
    if (!step || Date.now() - state.lastPress < DOUBLE_PRESS_MS) return;
    state.lastPress = Date.now();
    const soft = softBelow(step);
    quiet();
    const usual = ["mix", "pour", "turn", "stop", "demold"].includes(step.kind);
    const saved = usual ? record(step.kind, step.part, step.layer, null)
      : record("did", step.part, step.layer, step.index);
    say(`${savedWord(saved)}: ${step.kind}, ${whichOf(step)}.` + (soft
      ? " The layer below has not gelled by the plan: test it with a gloved finger before pouring."
      : ""));
    update();
  }

  // Of the layers poured that have not gelled, the one that should about now.
  function gelling() {
    const now = (Date.now() - state.actual.first_ms) / 1000;
    let found = null;
    state.actual.layer.forEach((layers, part) => layers.forEach((was, j) => {
      const off = Math.abs(state.move.parts[part].layers[j].gel - now);
      if (known(was.end) && !known(was.gel) && (!found || off < found.off))
        found = { part, layer: j + 1, off };
    }));
    return found;
  }

  function pressGelled() {
    const found = gelling();
    if (!found || Date.now() - state.lastPress < DOUBLE_PRESS_MS) return;
    state.lastPress = Date.now();
    const off = (Date.now() - state.actual.first_ms) / 1000 -
      state.move.parts[found.part].layers[found.layer - 1].gel;
    const saved = record("gel", found.part, found.layer, null);
    update();
    const factor = Math.exp(plan.pace_known + state.today.ln).toFixed(2);
    say(`${savedWord(saved)}: ${whichOf(found)} gelled ${duration(off)} ` +
      `${off < 0 ? "earlier" : "later"} than planned. The rest is planned at ${factor} times the ` +
      `data sheet's speed, give or take ${Math.round(196 * state.today.error)} %.`);
    update();
  }

  function nextThatCanBeLate() {
    return state.move.steps.find((s) => !rules.stepDone(s, state.actual) &&
      (s.kind === "mix" || s.kind === "demold"));
  }

  function pressLate(seconds) {
    const step = nextThatCanBeLate();
    if (!step) return;
    const saved = record("late", step.part, step.layer, seconds);
    say(`${savedWord(saved)}: ${step.kind}, ${whichOf(step)}, late by ${duration(seconds)}. What ` +
      "follows has moved; deadlines of what is mixed already have not.");
    update();
  }

  function inTheCup() {
    for (let p = 0; p < plan.parts.length; p++)
      for (let j = 0; j < plan.parts[p].layers.length; j++) {
        const was = state.actual.layer[p][j];
        if (known(was.mix) && !known(was.end)) return { part: p, layer: j + 1 };
      }
    return null;
  }

  function pressThrown() {
    const cup = inTheCup();
    if (!cup) return;
    const saved = record("discard", cup.part, cup.layer, null);
    say(`${savedWord(saved)}: the batch of ${whichOf(cup)} was thrown away. Mix a fresh one.`);
    update();
  }

  const CAN_UNDO = new Set(["mix", "pour", "turn", "stop", "gel", "late", "discard", "demold", "did"]);

  function lastUndoable() {
    return rules.standing(state.events).filter((e) => CAN_UNDO.has(e.kind)).pop() || null;
  }

  function pressUndo() {
    const last = lastUndoable();
    if (!last || Date.now() - state.lastPress < DOUBLE_PRESS_MS) return;
    state.lastPress = Date.now();
    const saved = record("undo", last.part, last.layer, last.id);
    say(`${savedWord(saved)}: "${last.kind}" is taken back.`);
    update();
  }

  function pressOver() {
    if (!state.armed) {
      state.armed = true;
      say("START OVER erases what this page recorded of this run. Press it again within 5 s.");
      setTimeout(() => {
        state.armed = false;
      }, 5000);
    } else {
      state.armed = false;
      eraseRun();
      say("Erased. START begins anew.");
    }
    update();
  }

  function saveFile(name, text) {
    if (!text) {
      say("There is no gel of a first layer to save yet: press GELLED NOW when one has gelled.");
      update();
      return;
    }
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text], { type: "text/csv" }));
    link.download = name;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
  }

  // ---- the screen ----

  function put(id, text) {
    const at = el(id);
    if (at.textContent !== text) at.textContent = text;
  }

  function show(id, visible) {
    if (el(id).hidden === visible) el(id).hidden = !visible;
  }

  function make(tag, text, className) {
    const at = document.createElement(tag);
    if (text !== undefined) at.textContent = text;
    if (className) at.className = className;
    return at;
  }

  function drawCount(step) {
    const left = step.at - state.now;
    const by = rules.deadline(step, state.move, plan);
    const toDeadline = started() && step.kind === "pour" && known(by);
    const shown = toDeadline ? by - state.now : left;
    put("count", started() ? countdown(shown) : plan.feasible ? "READY" : "STOP");
    el("count").className = started() && shown < -0.5 ? "late" : "";
    const isLimit = started() && known(by);
    show("by", isLimit);
    if (isLimit)
      put("by", `${step.kind === "stop" ? "next layer in by" : "all in by"} ${clock(by, false)}` +
        (toDeadline ? "" : ` (${countdown(by - state.now)})`));
  }

  function careWords(step) {
    const layer = layerOf(step);
    if (step.kind === "mix" || step.kind === "pour")
      return "Gloves, goggles, air moving." +
        (layer ? ` Left standing this cup may reach ${layer.cup_peak}: never leave it or throw it away warm.` : "");
    if (step.kind === "turn" || step.kind === "stop")
      return "Hair, sleeves and gloves clear of the machine; switch it off before reaching in.";
    return "Gelled is not cured: gloves until it is hard. Follow the safety data sheet.";
  }

  function drawNow() {
    const step = state.step;
    put("time", started() ? clock(state.now, false) : wallClock());
    put("since", started() ? `+${countdown(state.now)}` : "not begun");
    show("masses", Boolean(step && step.kind === "mix"));
    if (!step) {
      put("word", "DONE");
      put("which", "");
      put("count", "");
      put("words", "Everything is out of the mold. START OVER, below, begins another casting.");
      put("care", "");
      show("by", false);
      return;
    }
    put("word", wordOf(step));
    put("which", whichOf(step));
    put("words", step.kind === "mix" && !started() ? "First, when you are ready. " + stepWords(step)
      : stepWords(step));
    put("care", careWords(step));
    if (step.kind === "mix") put("masses", massWords(layerOf(step)));
    drawCount(step);
  }

  function setLabel(button, word) {
    const text = el(button).firstChild;
    if (text.nodeValue !== `${word} `) text.nodeValue = `${word} `;
  }

  function drawButtons() {
    const step = state.step;
    setLabel("done", started() ? "DONE" : "START");
    put("done-when", step ? `${DONE_WHEN[step.kind] || "when it is done"}` : "nothing is left");
    el("done").disabled = !step || !plan.feasible;
    const gel = gelling();
    el("gelled").disabled = !gel;
    put("gelled-what", gel ? whichOf(gel) : "nothing is gelling");
    el("late").disabled = !started() || !nextThatCanBeLate();
    show("thrown", Boolean(inTheCup()));
    const last = lastUndoable();
    el("undo").disabled = !last;
    put("undo-what", last ? `${last.kind}, ${whichOf(last)}` : "nothing to undo");
    show("seen", [...state.alarms.values()].some((a) => !a.seen));
  }

  function drawAlarms() {
    const text = JSON.stringify([...state.alarms.values()].map((a) => [a.text, a.remedy, a.seen]));
    if (el("alarms").dataset.drawn === text) return;
    el("alarms").dataset.drawn = text;
    el("alarms").replaceChildren(...[...state.alarms.values()].map((alarm) => {
      const p = make("p", alarm.text, alarm.seen ? "was-seen" : "");
      if (alarm.remedy) p.append(make("small", alarm.remedy));
      return p;
    }));
  }

  function stepItem(step, withTick) {
    const li = make("li");
    if (withTick) li.append(make("span", "", "tick"));
    li.append(make("b", `${clock(step.at, NAMED_UP[step.anchor])} ${wordOf(step)}`), " ");
    const which = make("bdi", whichOf(step));
    li.append(which, ". ", stepWords(step));
    return li;
  }

  function drawLists() {
    const open = state.move.steps.filter((s) => !rules.stepDone(s, state.actual));
    const key = JSON.stringify(state.move.steps.map((s) => [Math.round(s.at), s.index])) +
      JSON.stringify(open.map((s) => s.index)) + Math.floor(startClock());
    if (key === state.drawn) return;
    state.drawn = key;
    const after = state.move.steps.filter((s) => s !== state.step && s.kind !== "wait" &&
      (rules.onlySays(s) ? s.at > state.now : !rules.stepDone(s, state.actual)));
    el("next").replaceChildren(...after.slice(0, 3).map((s) => stepItem(s, false)));
    el("steps").replaceChildren(...state.move.steps.map((s) => {
      const li = stepItem(s, true);
      if (rules.onlySays(s) ? started() && s.at < state.now : rules.stepDone(s, state.actual)) li.className = "done";
      if (s === state.step) {
        li.className = "current";
        li.setAttribute("aria-current", "step");
      }
      return li;
    }));
  }

  function drawTimeline() {
    const key = `${state.drawn} ${Math.floor(state.now / 5)} ${el("timeline").clientWidth}`;
    if (key === state.drawnLine) return;
    state.drawnLine = key;
    timeline.draw(el("timeline"), plan, state, clock);
  }

  // Warnings and cautions name times of the plan too.
  function drawNotes() {
    const warnings = plan.warnings.map((w) => ({ limit: w.limit, text: inWords(w.text), remedy: inWords(w.remedy) }));
    const cautions = plan.cautions.map(inWords);
    const text = JSON.stringify([warnings, cautions]);
    if (text === state.drawnNotes) return;
    state.drawnNotes = text;
    show("limits", warnings.length > 0);
    el("warnings").replaceChildren(...warnings.map((w) => {
      const li = make("li");
      li.append(make("b", w.limit ? "LIMIT " : "note ", w.limit ? "limit" : ""), w.text);
      if (w.remedy) li.append(make("div", `remedy: ${w.remedy}`));
      return li;
    }));
    el("cautions").replaceChildren(...cautions.map((caution) => make("li", caution)));
  }

  function drawMessages() {
    put("message", state.message);
    put("screen", screenWords());
    const why = rules.backToTool(plan, state.today, state.troubles);
    const moved = started() && plan.shop_changes &&
      Math.abs(startClock() - plan.start_clock) > 3600
      ? "it was begun at another hour than planned, and the shop's temperature changes in the day" : "";
    const ends = state.move.parts.map((p) => p.demold).filter(known);
    if (started() && state.step && state.now > Math.max(0, ...ends) + LONG_AFTER_S)
      put("message", "This run should have ended long ago. Is it an old one? START OVER, below, begins anew.");
    const reason = started() ? why || moved : "";
    show("tool", Boolean(reason));
    if (reason)
      put("tool", `Go back to the tool: ${reason}. The times here are only stretched from the plan. ` +
        `Calculate them anew: pourclock bench ${plan.file || "PIECE"}`);
  }

  // For a screen reader: the step when it changes, and its deadline coming near.
  function speak() {
    const step = state.step;
    const key = step ? `${step.index} ${state.actual.layer.map((l) => l.map((w) => w.thrown))}` : "end";
    const by = step ? rules.deadline(step, state.move, plan) : null;
    if (key !== state.spokenStep) {
      state.spokenStep = key;
      state.spokenLeft = Infinity;
      put("spoken", step ? `${wordOf(step)} ${whichOf(step)}. ` +
        (step.kind === "mix" ? `${massWords(layerOf(step))}. ` : "") + stepWords(step)
        : "Everything is out of the mold.");
      return;
    }
    if (!started() || !step) return;
    const left = (known(by) && step.kind === "pour" ? by : step.at) - state.now;
    for (const mark of [60, 30, 10])
      if (left <= mark && left > 0 && state.spokenLeft > mark) {
        state.spokenLeft = mark;
        put("spoken", `${mark} seconds to ${step.kind === "pour" ? "have it all in" : wordOf(step)}.`);
        return;
      }
  }

  function noticeJump() {
    const offset = Date.now() - performance.now();
    if (state.offset !== null && Math.abs(offset - state.offset) > JUMP_MS && started())
      say(`The phone slept, or its clock was set, by ${duration((offset - state.offset) / 1000)}. ` +
        "The resin did not wait; if the clock was set, check the times.");
    state.offset = offset;
  }

  function update() {
    state.now = started() ? (Date.now() - state.actual.first_ms) / 1000 : 0;
    const overdue = state.step && state.step.at < state.now;
    if (state.movedAt === -Infinity || (overdue && Math.abs(state.now - state.movedAt) >= 1)) {
      state.movedAt = state.now;
      state.today = rules.pace(plan, state.actual, state.now, counted);
      state.move = rules.moved(plan, state.actual, state.now, state.today);
    }
    state.step = state.move.steps.find((s) => !rules.stepDone(s, state.actual)) || null;
    state.troubles = started() ? rules.troubles(plan, state.actual, state.move, state.now) : [];
    updateAlarms();
    drawNow();
    drawAlarms();
    drawButtons();
    drawLists();
    drawTimeline();
    drawNotes();
    drawMessages();
    speak();
  }

  function tick() {
    noticeJump();
    update();
  }

  // ---- what never changes ----

  function drawFixed() {
    put("piece", plan.piece);
    put("resin", `${plan.resin}; ${plan.shop}; ${plan.total} of resin`);
    put("made", `Made ${plan.made}${plan.file ? ` from ${plan.file}` : ""} by pourclock.`);
    const head = make("tr");
    for (const word of ["", "A", "B", "together"]) head.append(make("th", word));
    el("weigh").replaceChildren(head, ...plan.parts.flatMap((part) => part.layers.map((layer) => {
      const row = make("tr");
      const name = make("th", `${part.name}, ${part.word} ${layer.number}` +
        (layer.cups > 1 ? `, each of ${layer.cups} cups` : ""));
      name.scope = "row";
      row.append(name, make("td", layer.a, "mass"), make("td", layer.b, "mass"),
        make("td", layer.batch));
      return row;
    })));
    const stop = !plan.feasible || plan.do_not_pour;
    if (stop) el("hand").prepend(el("limits"));
    if (plan.feasible && stop) say(`DO NOT POUR: ${plan.do_not_pour}.`);
    if (!plan.feasible)
      say("DO NOT POUR: no schedule meets the limits. See the warnings below for what fails and how to fix it.");
    el("late-choices").replaceChildren(...[1, 2, 5, 10, 15, 30].map((minutes) => {
      const button = make("button", `${minutes} min`);
      button.type = "button";
      button.addEventListener("click", () => {
        el("late-by").close();
        pressLate(minutes * 60);
      });
      return button;
    }));
  }

  // Of two pages of one piece file the older one says so.
  function noticeOlder() {
    const key = `pourclock-page/${plan.file}/${plan.piece}`;
    try {
      const other = JSON.parse(localStorage.getItem(key) || "null");
      const older = other && other.id !== id && other.made_ms > plan.made_ms;
      show("stale", Boolean(older));
      if (older)
        put("stale", `OLD PAGE: a newer page of this piece was made ${other.made}. Use that one.`);
      else localStorage.setItem(key, JSON.stringify({ id, made: plan.made, made_ms: plan.made_ms }));
    } catch (error) {
      state.unsaved = true;
    }
  }

  async function checkFile() {
    const file = el("check").files[0];
    if (!file) return;
    const bytes = new Uint8Array(await file.arrayBuffer());
    el("check").value = ""; // so that the same file can be chosen again
    if (!known(plan.crc)) put("checked", "This page was not made from a file that can be compared.");
    else if (rules.crc32(bytes) === plan.crc) put("checked", `The same: this page is the plan of ${file.name}.`);
    else {
      put("checked", `OLD PAGE: ${file.name} is not the file this page was made from ${plan.made}.`);
      put("stale", `OLD PAGE: ${file.name} has changed since. Make it again: pourclock schedule ` +
        `${file.name} --page ${file.name.replace(/\.ini$/, "")}.html`);
      show("stale", true);
    }
  }

  function onKey(event) {
    if (!el("keys").checked || event.ctrlKey || event.altKey || event.metaKey || event.repeat) return;
    if (event.target.closest("input, dialog")) return;
    const button = { d: "done", g: "gelled", l: "late", x: "thrown", u: "undo", s: "seen" }[event.key];
    if (!button || el(button).hidden || el(button).disabled) return;
    event.preventDefault();
    el(button).click();
  }

  function listen() {
    const on = (button, press) => el(button).addEventListener("click", press);
    on("done", pressDone);
    on("gelled", pressGelled);
    on("late", () => el("late-by").showModal());
    on("thrown", pressThrown);
    on("undo", pressUndo);
    on("over", pressOver);
    on("seen", () => {
      quiet();
      update();
    });
    on("try", () => ring("pour"));
    on("save-gels", () => saveFile("gels.csv", rules.gelsCsv(plan, state.actual)));
    on("save-log", () => saveFile("record.csv", rules.recordCsv(plan, state.events)));
    el("check").addEventListener("change", checkFile);
    document.addEventListener("keydown", onKey);
    for (const gesture of ["pointerdown", "keydown", "click"])
      document.addEventListener(gesture, () => {
        wakeAudio();
        keepScreen();
      }, true);
    document.addEventListener("visibilitychange", () => {
      if (started()) keepScreen();
      tick();
    });
    window.addEventListener("storage", () => {
      load();
      update();
    });
  }

  load();
  drawFixed();
  noticeOlder();
  listen();
  tick();
  setInterval(tick, TICK_MS);
})();
