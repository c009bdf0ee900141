// A photo goes off as soon as it is taken. Without a connection it is kept in this device's database and sent later.
"use strict";
(() => {
  const form = document.getElementById("photo-form");
  if (!form || !window.indexedDB) return;
  const input = document.getElementById("photo-image");
  const status = document.getElementById("photo-kept");
  const STORE = "photos", AGAIN_MS = 5000;
  document.getElementById("photo-send").hidden = true;

  const open = () => new Promise((resolve, reject) => {
    const request = indexedDB.open("trial-photos", 1);
    request.onupgradeneeded = () => request.result.createObjectStore(STORE, { keyPath: "token" });
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
  const act = async (mode, work) => {
    const database = await open();
    return new Promise((resolve, reject) => {
      const transaction = database.transaction(STORE, mode);
      const request = work(transaction.objectStore(STORE));
      transaction.oncomplete = () => { database.close(); resolve(request.result); };
      transaction.onerror = () => { database.close(); reject(transaction.error); };
    });
  };
  const token = () => {
    const hex = [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
    return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
  };
  const waiting = async () => (await act("readonly", (store) => store.getAll())).filter((each) => each.action === form.action);

  const send = async (photo) => {
    const data = new FormData(form);
    data.set("token", photo.token);
    data.set("image", new File([photo.bytes], photo.name, { type: photo.type }));
    const answer = await fetch(form.action, { method: "POST", body: data, headers: { Accept: "text/x-fragment" } });
    if (answer.ok) {
      htmx.swap("#photos", await answer.text(), { swapStyle: "innerHTML" });
      status.textContent = gettext("The photo is saved.");
    } else if (answer.status === 422) {
      status.textContent = interpolate(gettext("The photo was not saved. %(why)s"), { why: await answer.text() }, true);
    } else {
      throw new Error(String(answer.status));
    }
    await act("readwrite", (store) => store.delete(photo.token));
  };
  let busy = false;
  const sendAll = async () => {
    if (busy) return;
    busy = true;
    try {
      for (const photo of await waiting()) await send(photo);
    } catch {
      const count = (await waiting()).length;
      const words = ngettext("%(count)s photo waits on this device for a connection and will be sent by itself.", "%(count)s photos wait on this device for a connection and will be sent by themselves.", count);
      status.textContent = interpolate(words, { count }, true);
    } finally {
      busy = false;
    }
  };
  input.addEventListener("change", async (event) => {
    event.stopPropagation();
    const [file] = input.files;
    if (!file) return;
    status.textContent = gettext("Keeping the photo.");
    const bytes = await file.arrayBuffer();
    await act("readwrite", (store) => store.put({ token: token(), action: form.action, name: file.name, type: file.type, bytes }));
    input.value = "";
    await sendAll();
  });
  window.addEventListener("online", sendAll);
  window.setInterval(async () => { if ((await waiting()).length) sendAll(); }, AGAIN_MS);
  waiting().then((found) => { if (found.length) sendAll(); });
})();
