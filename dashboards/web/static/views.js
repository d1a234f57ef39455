// The views, in the order of the navigation. Each is a module of its own that is
// fetched when somebody first goes there. It exports
//
//   open(root, route)   fills root, an empty element, and returns what is needed
//                       later: { turn(route), close() }, both optional.
//
// turn is called when the address changes within the view; without it the view is
// opened anew. See lib/router.js for what a route is.

export const views = [
  { path: "now", name: "Now", load: () => import("./views/now.js") },
  { path: "nights", name: "Nights", load: () => import("./views/nights.js") },
  { path: "batteries", name: "Batteries", load: () => import("./views/batteries.js") },
  { path: "plan", name: "Plan", load: () => import("./views/plan.js") },
  { path: "setup", name: "Setup", load: () => import("./views/setup.js") },
];
