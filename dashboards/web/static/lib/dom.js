// Building the page. Text goes in as text, never as markup: what a source sends
// cannot become part of the page's structure.

// el makes an element. An attribute that is false or null is left out, one that is
// true stands bare, and one that begins with "on" is a listener.
export function el(tag, attributes = {}, ...children) {
  const e = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === false || value == null) continue;
    if (name.startsWith("on")) e.addEventListener(name.slice(2), value);
    else e.setAttribute(name, value === true ? "" : value);
  }
  e.append(...children.flat(Infinity).filter((c) => c != null && c !== false));
  return e;
}

// clear empties an element.
export function clear(e) {
  e.replaceChildren();
  return e;
}

// put writes a text, and touches nothing where it stands there already: a screen
// reader keeps its place, and a selection stays.
export function put(e, text) {
  if (e.textContent !== text) e.textContent = text;
}

// show hides an element or brings it back.
export function show(e, visible) {
  if (e.hidden === visible) e.hidden = !visible;
}

// place sets a style property. The page's policy forbids style attributes, so this
// is the one way for positions that are computed.
export function place(e, properties) {
  for (const [name, value] of Object.entries(properties)) e.style.setProperty(name, value);
  return e;
}

// changed calls act with a value when it differs from the last one, as text.
export function changed(act) {
  let last;
  return (value, ...more) => {
    const text = JSON.stringify(value);
    if (text === last) return;
    last = text;
    act(value, ...more);
  };
}
