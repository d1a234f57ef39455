// Says things to those who listen to the page rather than look at it. Only what
// changed in kind is said, never a number that moves: that would never end.

const gather = 400; // ms; what happens together is said together

const waiting = { polite: [], urgent: [] };
let timer = 0;

// say waits until the reader has finished its sentence.
export function say(text) { queue("polite", text); }

// cry breaks in; for alarms.
export function cry(text) { queue("urgent", text); }

function queue(region, text) {
  waiting[region].push(text);
  clearTimeout(timer);
  timer = setTimeout(speak, gather);
}

function speak() {
  for (const [region, texts] of Object.entries(waiting)) {
    if (texts.length === 0) continue;
    document.getElementById(region).textContent = texts.splice(0).join(" ");
  }
}
