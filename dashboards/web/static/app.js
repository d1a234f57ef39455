// The page: its frame, and the views that take turns in it.

import { connect } from "./lib/stream.js";
import { follow } from "./lib/router.js";
import { showLink } from "./lib/link.js";
import { tellNews } from "./lib/news.js";
import { offerThemes } from "./lib/theme.js";
import { views } from "./views.js";

const main = document.getElementById("main");

// The address belongs to the views, so the skip link moves the focus only.
document.querySelector(".skip").addEventListener("click", (e) => {
  e.preventDefault();
  main.focus();
});
offerThemes(document.getElementById("theme"));
const places = document.getElementById("places");
showLink();
tellNews(() => places.querySelector('[data-view="now"]'));
connect();
follow(views, places, main);
