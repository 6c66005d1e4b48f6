// SPDX-License-Identifier: GPL-3.0-or-later
// The rules of the bench, for a page that has no solver: what happened moves what is left. Every time
// of a layer is kept as its distance from the layer's own mix: a late hand moves the mix and nothing
// else; how a late pour and today's pace of the resin stretch each distance was found by planning
// again when the page was made (rates). No screen here: data in, data out. Times in seconds from the
// first mix; null: not known, not yet.
"use strict";
const rules = (() => {
  // As in the tool: a gel is felt to 5 %; three errors off the data sheet is a surprise.
  const GEL_SEEN_ERROR = 0.05;
  const SURPRISE_ERRORS = 3;
  // Beyond this the stretched times are not to be trusted: exp(0.3) is 35 %.
  const LN_PACE_MOST = 0.3;
  const known = Number.isFinite;
  const or = (value, otherwise) => (known(value) ? value : otherwise);

  function blankLayer() {
    return { mix: null, end: null, turn: null, stop: null, gel: null, late: 0, thrown: 0 };
  }

  // Events in the order they happened, without those taken back. An undo can itself be undone.
  function standing(events) {
    const sorted = [...events].sort((a, b) => a.at_ms - b.at_ms || (a.id < b.id ? -1 : 1));
    const gone = new Set();
    for (let i = sorted.length - 1; i >= 0; i--)
      if (sorted[i].kind === "undo" && !gone.has(sorted[i].id)) gone.add(sorted[i].value);
    return sorted.filter((e) => !gone.has(e.id));
  }

  function applyLayer(was, event, at) {
    switch (event.kind) {
      case "mix":
        was.mix = at;
        was.end = null;
        break;
      case "pour":
        was.end = at;
        break;
      case "turn":
      case "stop":
      case "gel":
        was[event.kind] = at;
        break;
      case "late":
        was.late += event.value;
        break;
      case "discard":
        was.mix = was.end = null;
        was.thrown++;
        break;
    }
  }

  // What happened: to each layer, each part, each step that is none of a layer's own times.
  function happened(plan, events) {
    const list = standing(events);
    const first = list.find((e) => e.kind === "mix");
    const actual = {
      first_ms: first ? first.at_ms : null,
      layer: plan.parts.map((p) => p.layers.map(blankLayer)),
      demold: plan.parts.map(() => null),
      demoldLate: plan.parts.map(() => 0),
      did: new Set(),
    };
    if (!first) return actual;
    for (const event of list) {
      const at = (event.at_ms - first.at_ms) / 1000;
      if (event.kind === "did") actual.did.add(event.value);
      if (event.part < 0 || event.part >= plan.parts.length) continue;
      if (event.kind === "demold") actual.demold[event.part] = at;
      if (event.kind === "late" && event.layer === 0) actual.demoldLate[event.part] += event.value;
      const was = actual.layer[event.part][event.layer - 1];
      if (was) applyLayer(was, event, at);
    }
    return actual;
  }

  // Events the tool's own log had when the page was made; the first mix is when the plan begins.
  function logged(plan) {
    const idOf = (number) => `log${String(number).padStart(6, "0")}`;
    const list = plan.log.map((e) => ({
      id: idOf(e.number), kind: e.kind, part: e.part, layer: e.layer, at_ms: e.elapsed_ms,
      value: e.kind === "undo" ? idOf(e.value) : e.value,
    }));
    const { first_ms } = happened(plan, list);
    return known(first_ms)
      ? list.map((e) => ({ ...e, at_ms: plan.first_mix_ms + e.at_ms - first_ms })) : [];
  }

  // Gels by which the tool has set the pace already: they count no second time.
  function countedGels(plan) {
    const set = new Set();
    happened(plan, logged(plan)).layer.forEach((layers, p) =>
      layers.forEach((was, j) => known(was.gel) && set.add(`${p}:${j}`)));
    return set;
  }

  // Layers of all parts in the order their batches are mixed.
  function mixOrder(plan) {
    const order = [];
    plan.parts.forEach((part, p) => part.layers.forEach((layer, j) => order.push({ p, j })));
    return order
      .map((turn, index) => ({ ...turn, index, mix: plan.parts[turn.p].layers[turn.j].mix }))
      .sort((a, b) => a.mix - b.mix || a.index - b.index);
  }

  // A distance from the mix, stretched by the pace and by how much longer the batch was in its cup.
  function stretched(base, rate, lnPace, late) {
    return base * Math.exp(rate.pace * lnPace) + rate.late * late;
  }

  function seen(actual, p, j, now) {
    for (let k = 0; k <= j; k++) {
      const was = actual.layer[p][k];
      if (!known(was.end) || !(was.end > was.mix)) return false;
    }
    const was = actual.layer[p][j];
    return known(was.gel) && was.gel > was.mix && was.gel <= now + 1;
  }

  // How fast the resin cures today against the plan, from the gels that were felt. Gels that the
  // tool has counted already are in the plan.
  function pace(plan, actual, now, counted) {
    const prior = plan.pace_error;
    const result = { ln: 0, error: prior, gels: 0, surprising: false };
    let weight = 0;
    let sum = 0;
    plan.parts.forEach((part, p) =>
      part.layers.forEach((layer, j) => {
        if (!seen(actual, p, j, now) || (counted && counted.has(p + ":" + j))) return;
        const was = actual.layer[p][j];
        const late = was.end - was.mix - (layer.end - layer.mix);
        const rate = layer.rates.gel;
        const felt = was.gel - was.mix - rate.late * late;
        if (!(felt > 0) || !(rate.pace < -0.05)) return;
        const error = GEL_SEEN_ERROR / Math.abs(rate.pace);
        weight += 1 / (error * error);
        sum += Math.log(felt / (layer.gel - layer.mix)) / rate.pace / (error * error);
        result.gels++;
      }),
    );
    if (result.gels === 0) return result;
    const mean = sum / weight;
    result.surprising = Math.abs(mean) > SURPRISE_ERRORS * Math.hypot(prior, Math.sqrt(1 / weight));
    // A data sheet that is plainly wrong for today gets no say.
    const total = weight + (result.surprising ? 0 : 1 / (prior * prior));
    result.ln = sum / total;
    result.error = Math.sqrt(1 / total);
    return result;
  }

  // What a layer is poured on: the one before it, or the last of the part below in its mold.
  function turnBelow(plan, turn) {
    if (turn.j > 0) return { p: turn.p, j: turn.j - 1 };
    const on = plan.parts[turn.p].below;
    return on > 0 ? { p: on - 1, j: plan.parts[on - 1].layers.length - 1 } : null;
  }

  // A part that waits until others are out of their molds: as planned, later by as much as they gel
  // later and are told to be, or as they were.
  function afterOthers(plan, actual, out, p) {
    const outOf = (k) => {
      const last = plan.parts[k].layers.length - 1;
      const later = out[k].layers[last]?.stop - plan.parts[k].layers[last].stop;
      const planned = plan.parts[k].demold_late + (known(later) ? later : 0) + actual.demoldLate[k];
      return or(actual.demold[k], planned);
    };
    const { waits, ready } = plan.parts[p];
    return Math.max(-Infinity, ...waits.filter((k) => plan.parts[k].layers.length > 0)
      .map((k) => outOf(k) + ready));
  }

  // When the batch can be mixed: its layer's turn has come, and the hands are free.
  function mixTime(plan, actual, now, out, turn, before) {
    const was = actual.layer[turn.p][turn.j];
    if (known(was.mix)) return was.mix;
    const layer = plan.parts[turn.p].layers[turn.j];
    let mix = layer.mix;
    const under = turnBelow(plan, turn);
    if (under) {
      const below = plan.parts[under.p].layers[under.j];
      const belowNow = out[under.p].layers[under.j];
      mix = or(belowNow.opens, belowNow.end) + (layer.mix - or(below.opens, below.end));
    }
    if (before) {
      const other = plan.parts[before.p].layers[before.j];
      const otherNow = out[before.p].layers[before.j];
      // A solid stops without a hand; what is mixed beside another batch has hands of its own.
      const turns = plan.parts[before.p].hollow;
      const beside = before.p !== turn.p && layer.mix < other.end - 1;
      const afterStop = turns && known(other.stop) && layer.mix >= other.stop - 1;
      const free = afterStop ? or(otherNow.stop, otherNow.end) : otherNow.end;
      // A layer's own successor may be mixed while the mold still turns, as planned.
      if (!beside && (before.p !== turn.p || !afterStop)) mix = Math.max(mix, free);
    }
    if (turn.j === 0) mix = Math.max(mix, afterOthers(plan, actual, out, turn.p));
    return Math.max(mix + was.late, now);
  }

  // One layer with every time moved. spread: today's error of the pace over the data sheet's.
  function moveLayer(layer, was, mix, now, lnPace, spread) {
    const pour = mix + (layer.pour - layer.mix);
    const end = or(was.end, Math.max(pour + (layer.end - layer.pour), now));
    const late = end - mix - (layer.end - layer.mix);
    const to = (name, field) =>
      known(layer[field])
        ? mix + stretched(layer[field] - layer.mix, layer.rates[name], lnPace, late)
        : null;
    const pot = Math.exp(layer.rates.pot.pace * lnPace);
    const earlyShare = (layer.by - layer.mix) / (layer.by_nominal - layer.mix);
    const gel = or(was.gel, to("gel", "gel"));
    const stopPlanned = known(was.gel) ? was.gel : gel + (layer.stop - layer.gel) * spread;
    const set = to("set", "set");
    return {
      mix,
      end,
      pour: Math.min(pour, end),
      drain: known(layer.drain) ? end + (layer.drain - layer.end) : null,
      // What is in the cup ages from its mix, whoever is late.
      by: mix + (layer.by_nominal - layer.mix) * pot * (1 - (1 - earlyShare) * spread),
      potOver: mix + layer.pot_life * pot,
      set: known(set) ? set + (layer.set_early - layer.set) * spread : null,
      gel,
      gelLate: known(was.gel) ? was.gel : gel + (layer.gel_late - layer.gel) * spread,
      stop: known(layer.stop) ? or(was.stop, Math.max(stopPlanned, now)) : null,
      opens: known(layer.opens) ? or(was.stop, stopPlanned) : null,
      closesAlone: to("closes", "closes_alone"),
      closes: known(layer.closes_alone)
        ? to("closes", "closes_alone") + (layer.closes - layer.closes_alone) * spread
        : known(layer.closes)
          ? to("closes", "closes")
          : null,
    };
  }

  function moveDemold(part, layers, lnPace, spread, late) {
    if (layers.length === 0 || !known(part.demold)) return null;
    const planned = part.layers[layers.length - 1];
    const now = layers[layers.length - 1];
    const longer = now.end - now.mix - (planned.end - planned.mix);
    const from = stretched(part.demold - planned.mix, part.demold_rate, lnPace, longer);
    return now.mix + from + (part.demold_late - part.demold) * spread + late;
  }

  // Parts of one mold leave it with the last of them.
  function demoldTogether(plan, out) {
    for (let round = 1; round < plan.parts.length; round++)
      plan.parts.forEach((part, p) => {
        const below = part.below > 0 ? out[part.below - 1] : null;
        if (below && known(below.demold) && known(out[p].demold))
          below.demold = out[p].demold = Math.max(below.demold, out[p].demold);
      });
  }

  function stepTime(step, part, layers) {
    if (layers.length === 0) return step.offset;
    const layer = layers[step.layer > 0 ? step.layer - 1 : layers.length - 1];
    if (step.anchor === "demold") return part.demold;
    return or(layer[step.anchor], 0) + step.offset;
  }

  // The plan for what is left. Returns parts with their layers' times and steps in order.
  function moved(plan, actual, now, today) {
    const spread = Math.min(1, today.error / plan.pace_error);
    const out = plan.parts.map(() => ({ layers: [], demold: null }));
    let before = null;
    for (const turn of mixOrder(plan)) {
      const layer = plan.parts[turn.p].layers[turn.j];
      const was = actual.layer[turn.p][turn.j];
      const mix = mixTime(plan, actual, now, out, turn, before);
      const layerNow = moveLayer(layer, was, mix, now, today.ln, spread);
      out[turn.p].layers[turn.j] = layerNow;
      // All in while the layer below bonds; a window that has closed before binds nothing.
      const under = turnBelow(plan, turn);
      const below = under ? out[under.p].layers[under.j].closes : null;
      layerNow.deadline = known(below) && below > layerNow.pour ? Math.min(layerNow.by, below)
        : layerNow.by;
      before = turn;
    }
    plan.parts.forEach((part, p) => {
      out[p].demold = moveDemold(part, out[p].layers, today.ln, spread, actual.demoldLate[p]);
    });
    demoldTogether(plan, out);
    const steps = plan.steps.map((step, index) => ({
      ...step,
      index,
      at: stepTime(step, out[step.part], out[step.part].layers),
    }));
    // At one time a stop comes before the next layer's mix, as the tool has it.
    const rank = (s) => s.part * 100 + (s.layer > 0 ? s.layer : 99);
    steps.sort((a, b) => a.at - b.at || rank(a) - rank(b) || a.index - b.index);
    return { parts: out, steps };
  }

  // A turn step after the pour says that it sets, or when to pour out: nothing to tick.
  function onlySays(step) {
    return step.kind === "wait" || (step.kind === "turn" && step.anchor !== "end");
  }

  function stepDone(step, actual) {
    const was = step.layer > 0 ? actual.layer[step.part][step.layer - 1] : null;
    if (onlySays(step)) return true;
    switch (step.kind) {
      case "mix":
        return known(was.mix);
      case "pour":
        return known(was.end);
      case "turn":
        return known(was.turn) || known(was.stop);
      case "stop":
        return known(was.stop);
      case "demold":
        return known(actual.demold[step.part]);
      default:
        return actual.did.has(step.index);
    }
  }

  // Deadline of a step: everything in, or the next layer in while the bond is open.
  function deadline(step, move, plan) {
    if (!(step.layer > 0)) return null;
    const layer = move.parts[step.part].layers[step.layer - 1];
    if (step.kind === "mix" || step.kind === "pour") return layer.deadline;
    if (step.kind === "stop" && step.layer < plan.parts[step.part].layers.length)
      return layer.closes;
    return null;
  }

  // What has gone wrong, each with its remedy: {key, text: words with {after: seconds}, remedy}.
  function troubles(plan, actual, move, now) {
    const list = [];
    for (const { p, j } of mixOrder(plan)) {
      const was = actual.layer[p][j];
      const layer = move.parts[p].layers[j];
      const planned = plan.parts[p].layers[j];
      const name = `${plan.parts[p].name}, ${plan.parts[p].word} ${planned.number}`;
      if (known(was.mix) && layer.end > layer.potOver)
        list.push(potTrouble(name, was, layer, planned, now));
      const under = turnBelow(plan, { p, j });
      if (!under) continue;
      const shuts = move.parts[under.p].layers[under.j].closesAlone;
      if (!known(actual.layer[under.p][under.j].end) || !known(shuts) || layer.end <= shuts) continue;
      const shut = now > shuts || known(was.end);
      list.push({
        key: `bond ${p} ${j} ${shut}`,
        text: [shut ? "BOND WINDOW CLOSED at " : "The bond window closes at ", { after: shuts },
          shut ? ` (${name}): this pour will not bond without preparation.`
            : `, before ${name} can be in.`],
        remedy: `${planned.missed_bond[0].toUpperCase()}${planned.missed_bond.slice(1)}.`,
        back: true,
      });
    }
    return list;
  }

  function potTrouble(name, was, layer, planned, now) {
    if (known(was.end))
      return {
        key: `pot in ${name}`,
        text: [`${name} went in after its pot life was over (`, { after: layer.potOver },
          "): it may not cover."],
        remedy: "Look into the mold once it has gelled; where the wall is bare, pour another thin " +
          "layer before the bond closes.",
        back: true,
      };
    const over = now >= layer.potOver;
    return {
      key: `pot ${over} ${name}`,
      text: over
        ? ["POT LIFE OVER at ", { after: layer.potOver }, ` (${name}): do not pour this batch.`]
        : ["Pot life ends at ", { after: layer.potOver }, ` (${name}), sooner than the usual pour ` +
            "takes: pour now, and fast."],
      remedy: over
        ? "Set the cup outdoors on bare ground, away from anything that burns: it may reach " +
          `${planned.cup_peak}. Press THROWN AWAY and mix anew.`
        : `What is not in by then stays out: it may reach ${planned.cup_peak}.`,
    };
  }

  // Whether the page has reached the end of what it can do without the tool.
  function backToTool(plan, today, list) {
    if (!plan.rates_known) return "this plan's times could not be stretched when the page was made";
    if (today.surprising) return "the resin gels far off its data sheet";
    if (Math.abs(today.ln) > LN_PACE_MOST) return "today's pace is far from the plan's";
    if (list.some((t) => t.back)) return "something went differently than any plan";
    return "";
  }

  // The gel of each hollow part's first layer on the bare mold: a film test, as `pourclock cuptest`
  // reads it. Empty where there is none.
  function gelsCsv(plan, actual) {
    const rows = [];
    plan.parts.forEach((part, p) => {
      const was = actual.layer[p][0];
      if (!part.hollow || !was || !(was.gel > was.end) || !known(was.end)) return;
      const day = new Date(actual.first_ms + 1000 * was.gel);
      const date = [day.getFullYear(), day.getMonth() + 1, day.getDate()].map((n) => String(n).padStart(2, "0")).join("-");
      rows.push(`film,${(was.gel - was.mix).toFixed(1)} s,${plan.resin_C.toFixed(2)} C,,` +
        `${plan.air_C.toFixed(2)} C,${part.layers[0].thick_mm.toFixed(3)} mm,` +
        `${(was.end - was.mix).toFixed(1)} s,${plan.film_mold},${date}`);
    });
    const head = "kind,time,temperature,mass,air,thickness,laid,mold,rubber,rubber_kind,shell,shell_kind,date";
    return rows.length > 0 ? [head, ...rows, ""].join("\n") : "";
  }

  // Every event, those taken back too, for the caster's own record.
  function recordCsv(plan, events) {
    const quote = (text) => `"${String(text).replace(/"/g, '""')}"`;
    const kept = new Set(standing(events));
    const rows = [...events]
      .sort((a, b) => a.at_ms - b.at_ms)
      .map((e) => [new Date(e.at_ms).toISOString(), e.kind,
        quote(plan.parts[e.part] ? plan.parts[e.part].name : ""), e.layer > 0 ? e.layer : "",
        e.kind === "late" ? e.value : "", kept.has(e) ? "" : "taken back"].join(","));
    return ["time,what,part,layer,late_s,note", ...rows, ""].join("\r\n");
  }

  // CRC-32 of ISO 3309, as the tool takes of the piece file.
  function crc32(bytes) {
    let crc = ~0;
    for (const byte of bytes) {
      crc ^= byte;
      for (let k = 0; k < 8; k++) crc = (crc >>> 1) ^ (crc & 1 ? 0xedb88320 : 0);
    }
    return ~crc >>> 0;
  }

  return {
    happened, standing, logged, countedGels, mixOrder, pace, moved, onlySays, stepDone, deadline, troubles, backToTool,
    gelsCsv, recordCsv, crc32, known,
  };
})();
