// Who looks at the page: at the bench's own computer anybody, from the network who has signed in.

import { get, post, remove, Refused } from "./api.js";

const $ = id => document.getElementById(id);

/** Waits until somebody may look; stopping works meanwhile, with the names that `known` is given. */
export async function ready(known) {
  const session = await get("/session");
  known(session);
  if (!session.needsToken) return signedIn(session);
  document.body.dataset.link = "signed-out";
  $("sign-in").hidden = false;
  $("link").textContent = "signed out";
  $("sign-in-form").token.focus();
  return new Promise(done => {
    $("sign-in-form").onsubmit = async event => {
      event.preventDefault();
      const form = event.target;
      try {
        const opened = await post("/session", { token: form.token.value });
        form.token.value = "";
        $("sign-in").hidden = true;
        $("sign-in-hint").textContent = "";
        done(signedIn(opened));
      } catch (error) {
        $("sign-in-hint").textContent = error instanceof Refused ? error.message : "The daemon did not answer.";
        $("sign-in-hint").classList.add("bad");
      }
    };
  });
}

/** A name that is proved is not written by hand. */
function signedIn(session) {
  $("signed-in").hidden = !session.name;
  $("signed-in-name").textContent = session.name ? `${session.name}, ${session.role}` : "";
  for (const input of document.querySelectorAll("input[name=who]")) {
    input.readOnly = Boolean(session.name);
    if (session.name) input.value = session.name;
  }
  return session;
}

$("sign-out").addEventListener("click", async () => {
  await remove("/session");
  location.reload();
});
