// Passkeys: asks the device, puts its answer into the form, sends it. Without WebAuthn the page says what to do.
"use strict";

(() => {
  const bytes = text => Uint8Array.from(atob(text.replace(/-/g, "+").replace(/_/g, "/")), letter => letter.charCodeAt(0));
  const text = buffer =>
    btoa(String.fromCharCode(...new Uint8Array(buffer))).replace(/\+/g, "-").replace(/\//g, "_").replace(/=+$/, "");
  const decoded = list => (list || []).map(each => ({ ...each, id: bytes(each.id) }));
  const has = Boolean(window.PublicKeyCredential && window.isSecureContext);

  async function asked(address) {
    const answer = await fetch(address, { headers: { Accept: "application/json" } });
    if (!answer.ok) throw new Error(await answer.text());
    return answer.json();
  }

  async function make(address) {
    const options = await asked(address);
    const made = await navigator.credentials.create({
      publicKey: {
        ...options,
        challenge: bytes(options.challenge),
        user: { ...options.user, id: bytes(options.user.id) },
        excludeCredentials: decoded(options.excludeCredentials),
      },
    });
    return {
      id: made.id, rawId: text(made.rawId), type: made.type,
      response: {
        clientDataJSON: text(made.response.clientDataJSON),
        attestationObject: text(made.response.attestationObject),
      },
    };
  }

  async function use(address) {
    const options = await asked(address);
    const signed = await navigator.credentials.get({
      publicKey: { ...options, challenge: bytes(options.challenge), allowCredentials: decoded(options.allowCredentials) },
    });
    const { response } = signed;
    return {
      id: signed.id, rawId: text(signed.rawId), type: signed.type,
      response: {
        clientDataJSON: text(response.clientDataJSON),
        authenticatorData: text(response.authenticatorData),
        signature: text(response.signature),
        userHandle: response.userHandle ? text(response.userHandle) : null,
      },
    };
  }

  async function answer(form, act, address) {
    const said = form.querySelector("[data-said]");
    said.textContent = gettext("Follow what the browser shows.");
    try {
      form.elements.passkey.value = JSON.stringify(await act(address));
      form.submit();
    } catch (error) {
      said.textContent = window.passkeyProblem(error);
    }
  }

  window.passkeyAnswer = use; // for the sign-in over a page, which sends it by itself
  window.passkeyProblem = error => error.name === "NotAllowedError" ? gettext("The device did not answer. Try again, or use a code.") : error.message;

  const making = document.querySelector("form[data-passkey]");
  if (making) {
    making.addEventListener("submit", event => {
      event.preventDefault();
      if (has) answer(making, make, making.dataset.passkey);
      else making.querySelector("[data-said]").textContent = gettext("This browser has no passkeys here. Use the code of an app instead.");
    });
  }
  const signing = document.querySelector("form[data-signs]");
  if (signing && has) {
    const button = signing.querySelector("[data-use]");
    button.hidden = false;
    button.addEventListener("click", () => answer(signing, use, signing.dataset.signs));
  }
})();
