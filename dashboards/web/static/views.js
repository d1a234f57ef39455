// The views, in the order of the navigation. Each is a module of its own that is
// fetched when somebody first goes there, with the styles that it names: the frame is
// on the screen before. It exports
//
//   open(root, route)   fills root, an empty element, and may return { close() },
//                       which is called when the address changes.
//
// See lib/router.js for what a route is.

export const views = [
  { path: "now", name: "Now", styles: ["charge", "now"], load: () => import("./views/now.js") },
  { path: "nights", name: "Nights", styles: ["charge", "nights"], load: () => import("./views/nights.js") },
  { path: "batteries", name: "Batteries", styles: ["batteries"], load: () => import("./views/batteries.js") },
  { path: "plan", name: "Plan", styles: ["batteries", "plan"], load: () => import("./views/plan.js") },
  { path: "setup", name: "Setup", styles: ["batteries", "plan", "setup"], load: () => import("./views/setup.js") },
];
