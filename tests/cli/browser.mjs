// SPDX-License-Identifier: GPL-3.0-or-later
// A headless Chromium driven over its own protocol, by a pipe: no package is needed.
import { spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

export class Browser {
  // Starts the browser at `path` with an empty profile of its own.
  constructor(path) {
    this.profile = mkdtempSync(join(tmpdir(), "pourclock-browser."));
    this.process = spawn(path, ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic",
      "--no-first-run", "--disable-background-networking", "--disable-component-update",
      "--disable-sync", "--disable-dev-shm-usage", "--autoplay-policy=user-gesture-required",
      `--user-data-dir=${this.profile}`, "--remote-debugging-pipe", "about:blank"],
      { stdio: ["ignore", "ignore", "ignore", "pipe", "pipe"] });
    this.number = 0;
    this.waiting = new Map();
    this.listeners = [];
    this.unread = "";
    this.process.stdio[4].setEncoding("utf8");
    this.process.stdio[4].on("data", (text) => this.read(text));
    this.process.stdio[3].on("error", () => {});
    this.gone = new Promise((resolve) => this.process.on("exit", resolve));
    this.process.on("error", () => {});
    this.process.on("exit", () => {
      for (const { reject } of this.waiting.values()) reject(new Error("the browser has ended"));
    });
  }

  read(text) {
    this.unread += text;
    for (let end; (end = this.unread.indexOf("\0")) >= 0;) {
      const message = JSON.parse(this.unread.slice(0, end));
      this.unread = this.unread.slice(end + 1);
      const waiting = this.waiting.get(message.id);
      if (!waiting) {
        this.listeners.forEach((listen) => listen(message));
        continue;
      }
      this.waiting.delete(message.id);
      if (message.error) waiting.reject(new Error(`${waiting.method}: ${message.error.message}`));
      else waiting.resolve(message.result);
    }
  }

  send(method, params = {}, sessionId = undefined) {
    const id = ++this.number;
    return new Promise((resolve, reject) => {
      this.waiting.set(id, { resolve, reject, method });
      this.process.stdio[3].write(JSON.stringify({ id, method, params, sessionId }) + "\0");
    });
  }

  // A new tab, blank.
  async tab() {
    const { targetId } = await this.send("Target.createTarget", { url: "about:blank" });
    const { sessionId } = await this.send("Target.attachToTarget", { targetId, flatten: true });
    const tab = new Tab(this, sessionId);
    await tab.begin();
    return tab;
  }

  // Ends the browser and removes its profile.
  async close() {
    await this.send("Browser.close").catch(() => {});
    await Promise.race([this.gone, new Promise((resolve) => setTimeout(resolve, 5000))]);
    this.process.kill("SIGKILL");
    rmSync(this.profile, { recursive: true, force: true, maxRetries: 5 });
  }
}

class Tab {
  constructor(browser, session) {
    this.browser = browser;
    this.session = session;
    this.requests = [];
    this.complaints = [];
    browser.listeners.push((message) => {
      if (message.sessionId !== session) return;
      if (message.method === "Network.requestWillBeSent") this.requests.push(message.params.request.url);
      if (message.method === "Runtime.exceptionThrown")
        this.complaints.push(JSON.stringify(message.params.exceptionDetails));
      if (message.method === "Log.entryAdded") this.complaints.push(message.params.entry.text);
      if (message.method === "Page.loadEventFired") this.loaded?.();
    });
  }

  send(method, params) {
    return this.browser.send(method, params, this.session);
  }

  async begin() {
    for (const domain of ["Page", "Runtime", "Network", "Log", "Accessibility"])
      await this.send(`${domain}.enable`);
  }

  // Runs before the page's own script, in every page this tab opens from now on.
  before(source) {
    return this.send("Page.addScriptToEvaluateOnNewDocument", { source });
  }

  async open(url) {
    const loaded = new Promise((resolve) => (this.loaded = resolve));
    await this.send("Page.navigate", { url });
    await loaded;
  }

  async reload() {
    const loaded = new Promise((resolve) => (this.loaded = resolve));
    await this.send("Page.reload");
    await loaded;
  }

  // Value of an expression in the page; a promise is waited for.
  async value(expression) {
    const { result, exceptionDetails } = await this.send("Runtime.evaluate",
      { expression, returnByValue: true, awaitPromise: true, userGesture: true });
    if (exceptionDetails) throw new Error(exceptionDetails.exception?.description ?? exceptionDetails.text);
    return result.value;
  }

  // Presses a key, or clicks in the middle of an element, as a caster does.
  async key(key) {
    const code = key.length === 1 ? `Key${key.toUpperCase()}` : key;
    const text = key.length === 1 ? key : key === "Enter" ? "\r" : undefined;
    const windowsVirtualKeyCode = { Enter: 13, Tab: 9, Escape: 27 }[key] ?? key.toUpperCase().charCodeAt(0);
    for (const type of ["keyDown", "keyUp"])
      await this.send("Input.dispatchKeyEvent", { type, key, code, windowsVirtualKeyCode,
        ...(type === "keyDown" && text ? { text } : {}) });
  }

  async click(selector) {
    const at = await this.value(`(() => { const e = document.querySelector(${JSON.stringify(selector)});
      e.scrollIntoView({ block: "center" }); const r = e.getBoundingClientRect();
      return { x: r.x + r.width / 2, y: r.y + r.height / 2 }; })()`);
    for (const type of ["mousePressed", "mouseReleased"])
      await this.send("Input.dispatchMouseEvent", { type, ...at, button: "left", clickCount: 1 });
  }

  size(width, height, mobile) {
    return this.send("Emulation.setDeviceMetricsOverride", { width, height, deviceScaleFactor: 1, mobile });
  }

  scheme(value) {
    return this.send("Emulation.setEmulatedMedia", { features: [{ name: "prefers-color-scheme", value }] });
  }

  async picture(whole = false) {
    const { data } = await this.send("Page.captureScreenshot", { format: "png", captureBeyondViewport: whole,
      ...(whole ? { clip: await this.whole() } : {}) });
    return Buffer.from(data, "base64");
  }

  async whole() {
    const { cssContentSize } = await this.send("Page.getLayoutMetrics");
    return { x: 0, y: 0, width: cssContentSize.width, height: cssContentSize.height, scale: 1 };
  }

  async print() {
    return Buffer.from((await this.send("Page.printToPDF", { printBackground: true })).data, "base64");
  }
}
