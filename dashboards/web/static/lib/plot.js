// The plotting library, fetched when the first curve is wanted: the page is there
// before it. It is a plain script that leaves one name behind.

let fetched = null;

export function plotLibrary() {
  fetched ??= new Promise((done, fail) => {
    const style = Object.assign(document.createElement("link"), { rel: "stylesheet", href: "vendor/uPlot.min.css" });
    const script = Object.assign(document.createElement("script"), { src: "vendor/uPlot.iife.min.js" });
    script.addEventListener("load", () => done(window.uPlot));
    script.addEventListener("error", () => { fetched = null; fail(new Error("the curve could not be fetched")); });
    document.head.prepend(style); // before our own, which adapts it
    document.head.append(script);
  });
  return fetched;
}
