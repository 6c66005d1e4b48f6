// SPDX-License-Identifier: GPL-3.0-or-later
// The timeline: a row a part; each batch in its cup (outline), turned (light), setting (dark), then
// the part curing until demold. Distinguished by height as well as by shade.
const timeline = (() => {
  const ROW = 46;
  const TOP = 16;
  const SVG = "http://www.w3.org/2000/svg";

  function shape(tag, attributes, text) {
    const at = document.createElementNS(SVG, tag);
    for (const [name, value] of Object.entries(attributes)) at.setAttribute(name, String(value));
    if (text !== undefined) at.textContent = text;
    return at;
  }

  function bar(x, from, to, y, height, className) {
    return shape("rect", { x: x(from), y, width: Math.max(1, x(to) - x(from)), height, class: className });
  }

  function drawPart(svg, x, plan, move, p) {
    const known = Number.isFinite;
    const y = TOP + p * ROW;
    const layers = move.parts[p].layers;
    svg.append(shape("text", { x: 0, y: y + 11, direction: "ltr" }, plan.parts[p].name));
    if (layers.length === 0) return;
    const last = layers[layers.length - 1];
    const demold = move.parts[p].demold;
    if (known(demold) && known(last.stop)) svg.append(bar(x, last.stop, demold, y + 24, 6, "curing"));
    layers.forEach((layer, j) => {
      const end = known(layer.stop) ? layer.stop : layer.gelLate;
      svg.append(bar(x, layer.mix, layer.end, y + 18, 18, "cup"));
      if (known(end)) {
        const set = known(layer.set) ? Math.max(layer.end, Math.min(layer.set, end)) : end;
        svg.append(bar(x, layer.end, set, y + 21, 12, "turning"));
        if (set < end) svg.append(bar(x, set, end, y + 18, 18, "setting"));
      }
      svg.append(shape("text", { x: x(layer.mix), y: y + 44 }, String(plan.parts[p].layers[j].number)));
    });
  }

  function draw(at, plan, state, clock) {
    const ends = state.move.parts.map((p) => p.demold).filter(Number.isFinite);
    const last = Math.max(60, ...ends, ...state.move.steps.map((s) => s.at).filter(Number.isFinite));
    const width = Math.max(240, at.clientWidth);
    const height = TOP + ROW * plan.parts.length + 4;
    const x = (s) => (Math.max(0, Math.min(s, last)) / last) * (width - 4) + 2;
    const svg = shape("svg", { viewBox: `0 0 ${width} ${height}`, role: "img" });
    svg.setAttribute("aria-label", `From ${clock(0, false)} to ${clock(last, true)}. Each batch in its cup, ` +
      "turned, setting; then curing until demold. The steps below say the same in words.");
    svg.append(shape("text", { x: 2, y: 11 }, clock(0, false)));
    svg.append(shape("text", { x: width - 2, y: 11, "text-anchor": "end" }, clock(last, true)));
    plan.parts.forEach((part, p) => drawPart(svg, x, plan, state.move, p));
    if (Number.isFinite(state.actual.first_ms))
      svg.append(shape("line", { x1: x(state.now), x2: x(state.now), y1: 2, y2: height - 2, class: "here" }));
    at.replaceChildren(svg);
  }

  return { draw };
})();
