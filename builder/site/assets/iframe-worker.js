/* Stand-in for Worker where a page is opened from a disk: browsers refuse to start a worker from a file there, and the
   search of the theme needs one. The script runs in a hidden frame instead. Scripts made on the spot (blob:, data:)
   still get a true worker. No script is written into the frame, so the content security policy holds. */
(() => {
  "use strict";
  if (location.protocol !== "file:") return;
  const TrueWorker = window.Worker;

  class FrameWorker extends EventTarget {
    constructor(address) {
      super();
      this.frame = document.createElement("iframe");
      this.frame.hidden = true;
      this.frame.title = "";
      document.body.appendChild(this.frame);
      const inside = this.frame.contentWindow;
      const load = (source) =>
        new Promise((resolve, reject) => {
          const script = inside.document.createElement("script");
          script.onload = resolve;
          script.onerror = reject;
          script.src = source;
          inside.document.body.appendChild(script);
        });
      // What a worker's script expects of its surroundings.
      inside.postMessage = (data) => this.hear(data);
      inside.importScripts = (...sources) =>
        sources.reduce((before, source) => before.then(() => load(new URL(source, address).href)), Promise.resolve());
      this.ready = load(address);
      this.ready.catch(() => this.dispatchEvent(new ErrorEvent("error", { filename: address })));
    }

    hear(data) {
      const event = new MessageEvent("message", { data: structuredClone(data) });
      this.dispatchEvent(event);
      if (this.onmessage) this.onmessage(event);
    }

    postMessage(data) {
      const copy = structuredClone(data);
      this.ready.then(() => {
        const inside = this.frame.contentWindow;
        if (inside) inside.dispatchEvent(new MessageEvent("message", { data: copy }));
      }, () => {});
    }

    terminate() {
      this.frame.remove();
    }
  }

  window.Worker = function (address, options) {
    const text = String(address);
    return /^(blob|data):/.test(text) ? new TrueWorker(text, options) : new FrameWorker(text);
  };
})();
