// On every page: nothing that is typed or chosen is lost, and nothing stays on the device after signing out.

import { forLater, restore, watch } from "./drafts.js";
import * as sending from "./form-sending.js";
import { all, forgetAll, keeps, owner, tidy } from "./kept-store.js";
import { forgetPhotos } from "./photo-store.js";
import * as sender from "./photo-sender.js";
import { tell } from "./photo-words.js";

const list = document.getElementById("sending");

tidy();
if (!owner) forgetPhotos().catch(() => {}); // a browser that keeps nothing has nothing to forget
if (keeps) {
  restore();
  document.addEventListener("kept:came", restore); // a piece of the page came anew, with its forms
  watch();
  sending.start();
  tell(list);
  sender.start().catch(() => {}); // without the browser's database photos are sent by the form itself
}

// Leaving asks first where something would be lost, then forgets everything.
document.addEventListener("submit", (event) => {
  if (new URL(event.target.getAttribute("action") ?? "", location.href).pathname !== "/sign-out" || event.defaultPrevented) return;
  const unsent = all("draft").length + forLater().length + sending.waiting().length + sender.states().length;
  if (unsent && !confirm("Something that you typed or chose is not sent yet. Leave, and delete it from this device?")) {
    event.preventDefault();
    return;
  }
  forgetAll();
  forgetPhotos().catch(() => {});
});
