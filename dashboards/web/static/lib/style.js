// Style sheets of views, fetched when they are first wanted.

const fetched = new Map();

// styleSheet fetches one and waits until it is in force. Without it the view shows all
// the same, only plainer.
export function styleSheet(name) {
  if (!fetched.has(name)) {
    const link = Object.assign(document.createElement("link"), { rel: "stylesheet", href: `style/${name}.css` });
    fetched.set(name, new Promise((done) => {
      link.addEventListener("load", done);
      link.addEventListener("error", () => { fetched.delete(name); link.remove(); done(); });
    }));
    document.querySelector("link[media=print]").before(link); // what is for paper has the last word
  }
  return fetched.get(name);
}
